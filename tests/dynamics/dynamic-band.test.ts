import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { saveState } from '../../src/core/saved-state.ts';
import { DynamicBand, type DynamicBandOptions, dynamicBandParameters } from '../../src/dynamics/dynamic-band.ts';
import { staticGain } from '../../src/dynamics/static-curve.ts';
import { peaking } from '../../src/filters/biquad-design.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { peakAboveTenKilohertz } from '../filters/above-ten-kilohertz.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { constant, firstDifference, impulse, noise, sine } from '../support/signals.ts';
import { amplitude, decibels, gainTrace, RATES } from './dynamics-support.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const lively = {
  frequencyHz: 3000,
  q: 0.7,
  gainDb: 3,
  thresholdDb: -40,
  attackMs: 0.1,
  releaseMs: 1,
  lookaheadMs: 0.3,
  linkPercent: 50,
} as const;

/** Level in dB of an impulse response at a frequency, by its definition. */
function levelAt(h: Float64Array, frequencyHz: number, sampleRateHz: number): number {
  let re = 0,
    im = 0;
  for (let n = 0; n < h.length; n++) {
    const angle = (2 * Math.PI * frequencyHz * n) / sampleRateHz;
    re += h[n] * Math.cos(angle);
    im -= h[n] * Math.sin(angle);
  }
  return decibels(Math.hypot(re, im));
}

const FREQUENCIES_HZ = [30, 100, 250, 500, 800, 1000, 1400, 2500, 5000, 10_000];
/** Gain by table (2e-7 dB), times what a bell of narrow poles makes of it. */
const RESPONSE_DB = 1e-5;

describe('DynamicBand', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new DynamicBand(stereo, o),
    table: dynamicBandParameters,
    lively,
    takesKey: true,
    runs: 6,
    length: 2000,
  });

  describe.each(RATES)('at %i Hz, its gain at rest', (sampleRateHz) => {
    const response = (options: DynamicBandOptions) => {
      const band = new DynamicBand({ sampleRateHz, channels: 1 }, { ratio: 1, frequencyHz: 1000, ...options });
      const [h] = render64(band, [impulse(Math.round(sampleRateHz / 8))]);
      return FREQUENCIES_HZ.map((f) => levelAt(h, f, sampleRateHz));
    };

    it('is a bell of the cookbook with q / sqrt K, boost and cut', () => {
      for (const gainDb of [-18, -6, 6, 18]) {
        const q = 1.4 / Math.sqrt(amplitude(gainDb));
        const { magnitudeDb } = frequencyResponse([peaking({ sampleRateHz, frequencyHz: 1000, q, gainDb })], {
          sampleRateHz,
          frequenciesHz: FREQUENCIES_HZ,
        });
        response({ q: 1.4, gainDb }).forEach((level, i) => {
          expect(Math.abs(level - magnitudeDb[i])).toBeLessThan(RESPONSE_DB);
        });
      }
    });

    it('is a shelf of first order: (s + K) / (s + 1) and (K s + 1) / (s + 1)', () => {
      const gainDb = -10,
        K = amplitude(gainDb);
      // |s| = tan(pi f / fs) / tan(pi fc / fs): the bilinear transform.
      const s = FREQUENCIES_HZ.map(
        (f) => Math.tan((Math.PI * f) / sampleRateHz) / Math.tan((Math.PI * 1000) / sampleRateHz),
      );
      response({ shape: 'lowShelf', gainDb }).forEach((level, i) => {
        expect(level).toBeCloseTo(decibels(Math.hypot(s[i], K) / Math.hypot(s[i], 1)), 4);
      });
      response({ shape: 'highShelf', gainDb }).forEach((level, i) => {
        expect(level).toBeCloseTo(decibels(Math.hypot(K * s[i], 1) / Math.hypot(s[i], 1)), 4);
      });
    });
  });

  it('moves by (1 - 1/R) dB for each dB that the band is above the threshold, down or up, at most by the range', () => {
    const shape = { thresholdDb: -30, ratio: 4, kneeDb: 8 };
    for (const rangeDb of [-9, 9]) {
      for (const db of [-50, -33, -30, -25, -20, 0]) {
        const band = new DynamicBand(mono, {
          ...shape,
          rangeDb,
          frequencyHz: 1000,
          q: 2,
          attackMs: 0,
          releaseMs: 5000,
        });
        const [gainDb] = gainTrace(band, [sine(24_000, 1000, 48_000, amplitude(db))]);
        const expected = (rangeDb / 9) * Math.min(9, -staticGain(db, shape));
        const farthest = rangeDb < 0 ? Math.min(...gainDb.subarray(12_000)) : Math.max(...gainDb.subarray(12_000));
        expect(Math.abs(farthest - expected)).toBeLessThan(0.01);
      }
    }
  });

  it('adds the move to its gain at rest', () => {
    const options = { gainDb: 5, thresholdDb: -20, ratio: 1000, rangeDb: -7, attackMs: 0, releaseMs: 5000 };
    const [gainDb] = gainTrace(new DynamicBand(mono, options), [
      Float64Array.from([...constant(0, 4800), ...sine(24_000, 1000, 48_000)]),
    ]);
    expect(gainDb[4799]).toBeCloseTo(5, 5);
    expect(Math.min(...gainDb.subarray(20_000))).toBeCloseTo(-2, 2);
  });

  it('links moves in dB: own + link (lowest - own)', () => {
    const tones = [-18, -24].map((db) => sine(24_000, 1000, 48_000, amplitude(db))); // alone: -9 dB and -4.5 dB
    const shape = { thresholdDb: -30, ratio: 4, kneeDb: 0, rangeDb: -20, frequencyHz: 1000, q: 2 };
    for (const [linkPercent, second] of [
      [0, -4.5],
      [50, -6.75],
      [100, -9],
    ]) {
      const band = new DynamicBand(stereo, { ...shape, attackMs: 0, releaseMs: 5000, linkPercent });
      const [first, other] = gainTrace(band, tones).map((gainDb) => Math.min(...gainDb.subarray(12_000)));
      expect(Math.abs(first + 9)).toBeLessThan(0.01);
      expect(Math.abs(other - second)).toBeLessThan(0.01);
    }
  });

  it('comes to rest in silence without denormal numbers', () => {
    const band = new DynamicBand(mono, lively);
    render64(band, [noise(1000)]);
    render64(band, [new Float64Array(48_000)]);
    const left = saveState(band).arrays.flat().map(Number).map(Math.abs);
    expect(left.filter((v) => v > 0 && v < 1e-30)).toEqual([]);
  });

  it('hears its band alone: loud lows leave a band of highs at rest, bit for bit', () => {
    const low = sine(24_000, 60, 48_000);
    const [y] = render64(new DynamicBand(mono, { frequencyHz: 6000, q: 2, thresholdDb: -30 }), [low]);
    expect(firstDifference(y, low)).toBe(-1);
  });

  it.each(RATES)('takes its times to a sample or 0.5 %, at %i Hz', (sampleRateHz) => {
    // A constant key through the low-pass of a low shelf whose corner is so high that it settles within a sample.
    const [attackMs, releaseMs] = [4, 60];
    const band = new DynamicBand(
      { sampleRateHz, channels: 1 },
      {
        shape: 'lowShelf',
        frequencyHz: 0.45 * sampleRateHz,
        thresholdDb: -20,
        ratio: 1000,
        kneeDb: 0,
        rangeDb: -10,
        attackMs,
        releaseMs,
      },
    );
    const part = Math.round(sampleRateHz / 4);
    const key = constant(0, 3 * part).fill(1, part, 2 * part);
    const [gainDb] = gainTrace(band, [noise(3 * part)], [key]);
    const attacked = gainDb.findIndex((g) => g <= -10 * (1 - 1 / Math.E)) - part + 1;
    const released = gainDb.findIndex((g, n) => n >= 2 * part && g >= -10 / Math.E) - 2 * part + 1;
    const within = (n: number, ms: number) => Math.abs(n - (sampleRateHz * ms) / 1000);
    expect(within(attacked, attackMs)).toBeLessThanOrEqual(1 + 0.005 * attackMs * sampleRateHz * 1e-3);
    expect(within(released, releaseMs)).toBeLessThanOrEqual(1 + 0.005 * releaseMs * sampleRateHz * 1e-3);
  });

  it('does not click when frequency, q, gain and range change under a low note', () => {
    const band = new DynamicBand(mono, { frequencyHz: 300, q: 1, gainDb: -6, ratio: 1, rangeDb: -12 });
    const x = sine(48_000, 200, 48_000, 0.5);
    const y = new Float64Array(48_000);
    const changes: Record<number, DynamicBandOptions> = {
      9600: { frequencyHz: 450, gainDb: 6 },
      19_200: { frequencyHz: 4000, q: 4 },
      28_800: { frequencyHz: 150, gainDb: -12, rangeDb: 12 },
    };
    for (let at = 0; at < 48_000; at += 4800) {
      if (at in changes) band.set(changes[at]);
      band.process([x], [y], { start: at, end: at + 4800 });
    }
    expect(peakAboveTenKilohertz(y, 48_000)).toBeLessThan(-90);
  });

  it('is stable at whatever its gain does: noise in, noise of bounded level out', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1e6 }),
        fc.double({ min: 0.1, max: 40, noNaN: true }),
        fc.double({ min: -36, max: 36, noNaN: true }),
        (seed, q, rangeDb) => {
          const band = new DynamicBand(mono, { q, rangeDb, thresholdDb: -60, ratio: 1000, attackMs: 0, releaseMs: 0 });
          // |y| <= |x| + (K - 1) |b|; the band of a bell has at most twice the peak of what it hears.
          const bound = 1 + 2 * amplitude(36);
          return render64(band, [noise(4000, seed)])[0].every((v) => Math.abs(v) <= bound);
        },
      ),
      { numRuns: 20 },
    );
  });
});
