import { describe, expect, it } from 'vitest';
import { measureTruePeak, TruePeakMeter } from '../../src/meters/true-peak.ts';
import { bandLimited, idealPeak } from '../support/band-limited.ts';
import { constant, impulse, noise, numbers, peak, sine } from '../support/signals.ts';
import vectors from '../vectors/true_peak_filter.json';

const RATE = 48000;
const stereo = { sampleRateHz: RATE, channels: 2 };

describe('TruePeakMeter', () => {
  it('reads 200 random band-limited signals within 0.1 dB of ideal interpolation', () => {
    for (let seed = 1; seed <= 200; seed++) {
      const x = bandLimited(seed);
      const error = measureTruePeak([x], RATE) - 20 * Math.log10(idealPeak(x, 64));
      if (!(Math.abs(error) <= 0.1)) throw new Error(`seed ${seed}: ${error} dB`);
      expect(Math.abs(error)).toBeLessThanOrEqual(0.1);
    }
  });

  it('is never below the sample peak, with either interpolator, whatever the signal', () => {
    for (let seed = 1; seed < 40; seed++) {
      const x = seed % 2 ? noise(500, seed) : impulse(500, 10 * seed, 0.7);
      for (const method of ['fine', 'table'] as const) {
        expect(measureTruePeak([x], RATE, { method })).toBeGreaterThanOrEqual(20 * Math.log10(peak(x)) - 1e-12);
      }
    }
  });

  it('reads an impulse through the published table as its largest tap, and through the other as it is', () => {
    const largest = 20 * Math.log10(Math.max(...vectors.h));
    expect(largest).toBeLessThan(0);
    expect(measureTruePeak([impulse(64, 30)], RATE, { method: 'table' })).toBe(0);
    expect(measureTruePeak([impulse(64, 30)], RATE)).toBe(0);
    // Two samples apart their kernels add up: the sums of the table's own taps.
    const x = impulse(64, 30).map((v, n) => v + (n === 32 ? 1 : 0));
    const h = (i: number) => vectors.h[i] ?? 0;
    const most = Math.max(...Array.from({ length: 60 }, (_, i) => Math.abs(h(i) + h(i - 8))));
    expect(measureTruePeak([x], RATE, { method: 'table' })).toBeCloseTo(20 * Math.log10(Math.max(1, most)), 12);
  });

  it('counts what the last samples do once silence follows, and can go on', () => {
    const x = sine(100, RATE / 4, RATE, 1, Math.PI / 4); // samples at -3.01 dBFS only
    const meter = new TruePeakMeter({ sampleRateHz: RATE, channels: 1 });
    meter.process([x], 0, 50);
    expect(meter.truePeakDb).toBeGreaterThan(-0.6); // the cut itself makes the waveform swing
    const reading = meter.truePeakDb;
    expect(meter.truePeakDb).toBe(reading);
    expect(measureTruePeak([x.subarray(0, 50)], RATE)).toBe(reading);
  });

  it('gives the same figures however the signal is cut, and after a reset', () => {
    const x = [noise(10_000, 1), noise(10_000, 2, 0.4)];
    for (const method of ['fine', 'table'] as const) {
      const meter = new TruePeakMeter(stereo, { method });
      meter.process(x);
      const whole = meter.channelPeaksDb;
      meter.reset();
      const next = numbers(3);
      for (let start = 0; start < 10_000;) {
        const end = Math.min(10_000, start + Math.floor(400 * next()));
        meter.process(x, start, end);
        start = end;
      }
      expect(meter.channelPeaksDb).toEqual(whole);
      expect(whole[0]).toBeGreaterThan(whole[1] + 6);
    }
  });

  it('has no peak in silence, and takes samples that are no numbers for silence', () => {
    expect(measureTruePeak([constant(0, 100)], RATE)).toBe(-Infinity);
    expect(measureTruePeak([new Float64Array(0)], RATE)).toBe(-Infinity);
    expect(measureTruePeak([Float32Array.of(NaN, Infinity, 1e9)], RATE)).toBe(-Infinity);
    expect(measureTruePeak([Float32Array.of(0.5)], RATE)).toBeCloseTo(-6.0206, 4);
  });

  it('refuses what it does not know', () => {
    expect(() => new TruePeakMeter(stereo, { method: 'coarse' as 'fine' })).toThrow(
      'TruePeakMeter: method must be fine or table, got "coarse"',
    );
    expect(() => {
      new TruePeakMeter(stereo).process([new Float64Array(3), new Float64Array(4)]);
    }).toThrow(RangeError);
  });
});
