import { describe, expect, it } from 'vitest';
import { Random } from '../../src/core/random.ts';
import { voiceOf } from '../../src/simulation/kit-voices.ts';
import { type DrumName, drumNames, type StrokeName } from '../../src/simulation/names.ts';
import { peakOf, powerShare, powerSpectrum } from './measure.ts';

const SIZE = 16384;
const strike = (drum: DrumName, velocity = 1, stroke: StrokeName = 'normal', sampleRateHz = 48000, seed = 7) =>
  voiceOf(drum, stroke)(sampleRateHz, velocity, new Random(seed));
const spectrumOf = (drum: DrumName, velocity = 1, stroke: StrokeName = 'normal', sampleRateHz = 48000) =>
  powerSpectrum(strike(drum, velocity, stroke, sampleRateHz), SIZE);

function strongestHz(spectrum: Float64Array, sampleRateHz = 48000): number {
  let top = 1;
  for (let k = 1; k < spectrum.length; k++) if (spectrum[k] > spectrum[top]) top = k;
  return (top * sampleRateHz) / SIZE;
}

/** Time for 60 dB by backward integration from -5 to -25 dB, times three (Schroeder 1965; ISO 3382 T20). */
function decaySeconds(sound: Float64Array, sampleRateHz = 48000): number {
  const energy = new Float64Array(sound.length);
  let sum = 0;
  for (let i = sound.length - 1; i >= 0; i--) energy[i] = sum += sound[i] * sound[i];
  const from = energy.findIndex((e) => e < sum * 10 ** -0.5);
  const to = energy.findIndex((e) => e < sum * 10 ** -2.5);
  return (3 * (to - from)) / sampleRateHz;
}

// Ranges are common practice for drums of these sizes.
describe('the kit sounds plausible', () => {
  it.each([
    ['kick', 50, 70],
    ['snare', 180, 220],
    ['tom1', 110, 160],
    ['tom2', 80, 110],
  ] as const)('%s has its fundamental between %d and %d Hz', (drum, low, high) => {
    const hz = strongestHz(spectrumOf(drum));
    expect(hz).toBeGreaterThan(low);
    expect(hz).toBeLessThan(high);
  });

  it('the snare wires put 30 to 60 % of its power between 2 and 10 kHz', () => {
    const share = powerShare(spectrumOf('snare'), 48000, 2000, 10000);
    expect(share).toBeGreaterThan(0.3);
    expect(share).toBeLessThan(0.6);
  });

  it.each(['hat', 'ride', 'crashLeft', 'crashRight'] as const)('%s has most of its power above 3 kHz', (drum) => {
    expect(powerShare(spectrumOf(drum), 48000, 3000, 20000)).toBeGreaterThan(0.5);
    expect(powerShare(spectrumOf(drum), 48000, 0, 300)).toBeLessThan(0.001);
  });

  it.each([
    ['kick', 'normal', 0.3, 0.6],
    ['snare', 'normal', 0.15, 0.4],
    ['tom1', 'normal', 0.5, 1],
    ['tom2', 'normal', 0.7, 1.4],
    ['hat', 'normal', 0.08, 0.25],
    ['hat', 'open', 0.6, 1.5],
    ['hat', 'pedal', 0.05, 0.2],
    ['ride', 'normal', 0.8, 2],
    ['crashLeft', 'normal', 1, 2.5],
    ['crashRight', 'normal', 1.2, 3],
  ] as const)('%s (%s) dies within %d to %d s', (drum, stroke, low, high) => {
    const seconds = decaySeconds(strike(drum, 1, stroke));
    expect(seconds).toBeGreaterThan(low);
    expect(seconds).toBeLessThan(high);
  });

  it.each(['ride', 'crashLeft', 'crashRight'] as const)('%s gets darker as it dies', (drum) => {
    const sound = strike(drum);
    const highShare = (seconds: number) => {
      const start = Math.round(seconds * 48000);
      return powerShare(powerSpectrum(sound.subarray(start, start + 4096), 4096), 48000, 8000, 20000);
    };
    expect(highShare(0.6)).toBeLessThan(0.6 * highShare(0.02));
  });

  it('a hard stroke is brighter than a soft one on every drum', () => {
    const centroid = (drum: DrumName, velocity: number) => {
      const spectrum = spectrumOf(drum, velocity);
      let [moment, sum] = [0, 0];
      spectrum.forEach((power, k) => {
        moment += k * power;
        sum += power;
      });
      return moment / sum;
    };
    expect(drumNames.filter((drum) => !(centroid(drum, 1) > centroid(drum, 0.2)))).toEqual([]);
  });
});

describe('every voice', () => {
  const all = drumNames.flatMap((drum) =>
    (drum === 'hat' ? (['normal', 'open', 'pedal'] as const) : (['normal'] as const)).map(
      (stroke) => [drum, stroke] as const,
    ),
  );

  it.each(all)('%s (%s) is finite and has the same pitch and decay at 44.1, 96 and 192 kHz', (drum, stroke) => {
    const at48 = decaySeconds(strike(drum, 1, stroke));
    for (const sampleRateHz of [44100, 96000, 192000]) {
      const sound = strike(drum, 1, stroke, sampleRateHz);
      expect(Number.isFinite(peakOf(sound))).toBe(true);
      expect(decaySeconds(sound, sampleRateHz) / at48).toBeGreaterThan(0.85); // other noise at every rate
      expect(decaySeconds(sound, sampleRateHz) / at48).toBeLessThan(1.18);
    }
  });

  it('keeps its power at any rate: the first 100 ms of the snare within 1.5 dB (other noise at every rate)', () => {
    const powers = [44100, 48000, 96000, 192000].map((sampleRateHz) => {
      const sound = strike('snare', 1, 'normal', sampleRateHz).subarray(0, sampleRateHz / 10);
      return 10 * Math.log10(sound.reduce((sum, x) => sum + x * x, 0) / sampleRateHz);
    });
    expect(Math.max(...powers) - Math.min(...powers)).toBeLessThan(1.5);
  });

  it('starts at the blow: nothing louder than half its peak in the very first sample', () => {
    const ratios = all.map(([drum, stroke]) => {
      const sound = strike(drum, 1, stroke);
      return Math.abs(sound[0]) / peakOf(sound);
    });
    expect(Math.max(...ratios)).toBeLessThan(0.5);
  });
});
