/** Decay and density of the Schroeder reverb, measured on its impulse responses. */
import { describe, expect, it } from 'vitest';
import { measureDecay } from '../../src/reverb/decay-measurement.ts';
import { echoDensity } from '../../src/reverb/echo-density.ts';
import { SchroederReverb, type SchroederReverbOptions } from '../../src/reverb/schroeder-reverb.ts';
import { impulseResponse } from '../support/impulse-response.ts';
import { octaveBands } from '../../src/reverb/octave-bands.ts';
import { decayingNoise } from '../support/decaying-noise.ts';

const RATE = 48000;

const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

/** Responses of the tanks with the filters in front of them as far open as they go. */
function responses(
  options: SchroederReverbOptions,
  seconds: number,
  channels = 2,
  sampleRateHz = RATE,
): Float64Array[] {
  const open = { preDelayMs: 0, highpassHz: 10, lowpassHz: 0.49 * sampleRateHz };
  return impulseResponse(new SchroederReverb({ sampleRateHz, channels }, { ...open, ...options }), seconds);
}

describe('SchroederReverb without damping', () => {
  const densities = ['low', 'medium', 'high'] as const;
  const cases = densities.flatMap((density) => [0.3, 1, 2].map((decay) => ({ density, decay })));

  it.each(cases)('decays in $decay s at $density density, within 2 %, T30 in every channel', ({ density, decay }) => {
    const all = responses({ density, decaySeconds: decay, decayHighSeconds: decay }, 1.3 * decay);
    const worst = Math.max(...all.map((h) => Math.abs(measureDecay(h, RATE).t30Seconds / decay - 1)));
    expect(worst).toBeLessThan(0.02);
  });

  it.each([8000, 44100, 96000, 192000])('decays alike, within 1 %, at %d Hz', (rate) => {
    const options = { decaySeconds: 0.5, decayHighSeconds: 0.5 };
    const [h] = responses(options, 0.7, 1, rate);
    expect(Math.abs(measureDecay(h, rate).t30Seconds / 0.5 - 1)).toBeLessThan(0.01);
  });

  it('decays in a straight line from its first moment: clarity and centre time are those of an exponential', () => {
    // ISO 3382-1:2009, Table A.1, for what can just be heard: EDT 5 %, C80 1 dB, D50 0.05, Ts 10 ms.
    for (const h of responses({ decaySeconds: 1, decayHighSeconds: 1 }, 1.5)) {
      const m = measureDecay(h, RATE);
      const k = 6 * Math.LN10;
      expect(Math.abs(m.edtSeconds - 1)).toBeLessThan(0.05);
      expect(Math.abs(m.c80Db - 10 * Math.log10(Math.exp(k * 0.08) - 1))).toBeLessThan(1);
      expect(Math.abs(m.d50 - (1 - Math.exp(-k * 0.05)))).toBeLessThan(0.05);
      expect(Math.abs(m.centreTimeSeconds - 1 / k)).toBeLessThan(0.01);
    }
  });

  it('falls by 60 dB even where the allpasses alone would take longer', () => {
    const [h] = responses({ decaySeconds: 0.1, decayHighSeconds: 0.1 }, 0.4, 1);
    // Their own decay is held at half of the combs'; the onset of both bends the line by some percent.
    expect(Math.abs(measureDecay(h, RATE).t30Seconds / 0.1 - 1)).toBeLessThan(0.1);
  });
});

describe('SchroederReverb with damping', () => {
  /** T(f) of a comb by the closed form, -3 tau / lg|G(f)|; the mean over the combs, which differ by a percent or two. */
  function designed(low: number, high: number, rate: number): (hz: number) => number {
    const combs = Array.from({ length: 8 }, (_, i) => 0.03 * 1.5 ** ((i + 0.5) / 8));
    return (hz) =>
      mean(
        combs.map((tau) => {
          const [r0, rn] = [10 ** ((-3 * tau) / low), 10 ** ((-3 * tau) / high)];
          const pole = (r0 - rn) / (r0 + rn),
            w = (2 * Math.PI * hz) / rate;
          const gain = (r0 * (1 - pole)) / Math.hypot(1 - pole * Math.cos(w), pole * Math.sin(w));
          return (-3 * tau) / Math.log10(gain);
        }),
      );
  }

  it.each([
    { low: 0.3, high: 0.15, tolerance: 0.1, rate: 48000 },
    { low: 1, high: 0.5, tolerance: 0.05, rate: 48000 },
    { low: 2, high: 1, tolerance: 0.05, rate: 48000 },
  ])('decays, from $low s falling to $high s, as noise of the designed decay: octave bands, T30', (c) => {
    const { low, high, tolerance, rate } = c;
    const centres = [125, 250, 500, 1000, 2000, 4000, 8000].filter((hz) => hz < rate / 4);
    const decay = designed(low, high, rate);
    const neighbours = centres.slice(1).map((hz, i) => decay(centres[i]) / decay(hz));
    expect(Math.max(...neighbours)).toBeLessThanOrEqual(1.25); // a steeper course would blur within the bands

    const sizes = 8; // eight channels: eight tanks with delays of their own
    const seconds = 1.2 * low;
    const times = (h: Float64Array) => octaveBands(h, rate, centres).map((band) => measureDecay(band, rate).t30Seconds);
    const tanks = responses({ decaySeconds: low, decayHighSeconds: high }, seconds, sizes, rate).map(times);
    const noises = tanks.map((_, s) => times(decayingNoise(Math.ceil(seconds * rate), rate, 100 + s, decay)));
    const faults = centres.map((_, b) => mean(tanks.map((t) => t[b])) / mean(noises.map((t) => t[b])) - 1);
    expect(Math.max(...faults.map(Math.abs))).toBeLessThan(tolerance);
  });
});

describe('SchroederReverb', () => {
  it.each(['medium', 'high'] as const)(
    'has an echo density of at least 0.9, that of noise being 1, from 50 ms on at %s density',
    (density) => {
      // Means over 50 ms: the measure of one window of noise itself has a standard deviation of about 0.06.
      const around = (h: Float64Array, seconds: number) => {
        const { timesSeconds, density } = echoDensity(h, RATE);
        return mean([...density].filter((_, w) => Math.abs(timesSeconds[w] - seconds) < 0.021));
      };
      const all = responses({ density, decaySeconds: 1, decayHighSeconds: 1 }, 0.5);
      const densities = all.flatMap((h) => [0.05, 0.1, 0.15, 0.2, 0.25, 0.3].map((t) => around(h, t)));
      expect(Math.min(...densities)).toBeGreaterThan(0.9);
    },
  );
});
