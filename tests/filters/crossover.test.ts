import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allpass } from '../../src/filters/biquad-design.ts';
import { linkwitzRiley } from '../../src/filters/crossover.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import vectors from '../vectors/butterworth.json' with { type: 'json' };
import { type Complex, corners, decibels, logUniform, plus, polar, times, warped } from './analog-prototypes.ts';

const at48 = { sampleRateHz: 48000, frequencyHz: 1000 };
const orders = [2, 4, 6, 8, 10, 12, 14, 16];
const worst = (errors: number[]): number => errors.reduce((max, error) => Math.max(max, Math.abs(error)), 0);

function branches(options: Parameters<typeof linkwitzRiley>[0], frequenciesHz: number[]): [Complex[], Complex[]] {
  const { lowpass, highpass } = linkwitzRiley(options);
  const complex = (sections: typeof lowpass): Complex[] => {
    const response = frequencyResponse(sections, { sampleRateHz: options.sampleRateHz, frequenciesHz });
    return [...response.magnitudeDb].map((level, i) => polar(level, response.phaseRadians[i]));
  };
  return [complex(lowpass), complex(highpass)];
}
const minus = (a: Complex, b: Complex): Complex => plus(a, times({ re: -1, im: 0 }, b));

describe('Linkwitz-Riley crossover', () => {
  // Branch levels and sums of squared scipy.signal.butter filters, scipy 1.10.1.
  it.each(Object.entries(vectors.linkwitz_riley_1k_48k))('order %s equals the table', (order, table) => {
    const [low, high] = branches({ ...at48, order: Number(order) }, table.f);
    expect(worst(low.map((h, i) => decibels(h) - table.lp_dB[i]))).toBeLessThan(2e-6); // 9 digits of up to 160 dB
    expect(worst(high.map((h, i) => decibels(h) - table.hp_dB[i]))).toBeLessThan(2e-6);
    expect(worst(low.map((h, i) => decibels(plus(h, high[i])) - table.sum_mag_dB[i]))).toBeLessThan(1e-9);
    const other = low.map((h, i) => decibels(minus(h, high[i])));
    const nulls = table.sum_other_polarity_dB.map((level) => level < -200);
    expect(nulls.filter(Boolean)).toHaveLength(1);
    const errors = other.map((level, i) => (nulls[i] ? 0 : level - table.sum_other_polarity_dB[i]));
    expect(worst(errors)).toBeLessThan(6e-4); // 3 decimals printed
    expect(other[nulls.indexOf(true)]).toBeLessThan(-200);
  });

  it('inverts the high-pass of the orders 2, 6, 10, 14 and of no other', () => {
    const inverted = orders.filter((order) => {
      const { highpass } = linkwitzRiley({ ...at48, order });
      // At half the sample rate every high-pass section is b0 - b1 + b2 over something positive: +-1.
      return highpass.reduce((sign, { b0, b1, b2 }) => sign * Math.sign(b0 - b1 + b2), 1) < 0;
    });
    expect(inverted).toEqual([2, 6, 10, 14]);
  });

  it.each(orders)('order %i: the branches are -6.02 dB at the corner and sum to 0 dB at every frequency', (order) => {
    fc.assert(
      fc.property(corners(), logUniform(0.01, 20), ({ sampleRateHz, frequencyHz }, x) => {
        const f = Math.min(x * frequencyHz, sampleRateHz / 2);
        const [low, high] = branches({ sampleRateHz, frequencyHz, order }, [frequencyHz, f]);
        const half = 20 * Math.log10(0.5);
        // The coefficients are rounded to 1e-16, which weighs 1/w0^2 in the response of a corner at w0.
        const w0 = (2 * Math.PI * frequencyHz) / sampleRateHz;
        const tolerance = 1e-9 + (1e-14 * order) / (w0 * w0);
        expect(Math.abs(decibels(low[0]) - half)).toBeLessThan(tolerance);
        expect(Math.abs(decibels(high[0]) - half)).toBeLessThan(tolerance);
        expect(Math.abs(decibels(plus(low[1], high[1])))).toBeLessThan(tolerance);
      }),
      { numRuns: 50 },
    );
  });

  it.each(orders)('order %i: with the other polarity the branches cancel at the corner', (order) => {
    const [low, high] = branches({ ...at48, order }, [1000]);
    expect(decibels(minus(low[0], high[0]))).toBeLessThan(-200);
  });

  it.each(orders)('order %i: a branch is a squared Butterworth filter', (order) => {
    const frequenciesHz = [50, 700, 1000, 3000, 15000];
    const [low, high] = branches({ ...at48, order }, frequenciesHz);
    const errors = frequenciesHz.flatMap((f, i) => {
      const r = warped(f, 1000, 48000);
      return [decibels(low[i]) + 20 * Math.log10(1 + r ** order), decibels(high[i]) + 20 * Math.log10(1 + r ** -order)];
    });
    expect(worst(errors)).toBeLessThan(1e-8);
  });

  it('of order 4 sums to the all-pass of Q 1/sqrt(2)', () => {
    const frequenciesHz = [20, 300, 1000, 2500, 18000];
    const [low, high] = branches({ ...at48, order: 4 }, frequenciesHz);
    const { magnitudeDb, phaseRadians } = frequencyResponse([allpass({ ...at48, q: Math.SQRT1_2 })], {
      sampleRateHz: 48000,
      frequenciesHz,
    });
    const errors = frequenciesHz.map((_, i) => {
      const difference = minus(plus(low[i], high[i]), polar(magnitudeDb[i], phaseRadians[i]));
      return Math.hypot(difference.re, difference.im);
    });
    expect(worst(errors)).toBeLessThan(1e-10);
  });

  it('refuses odd orders, orders out of range and corners beyond half the sample rate', () => {
    const make = (options: object) => () => linkwitzRiley({ ...at48, order: 4, ...options });
    expect(make({ order: 3 })).toThrow(new RangeError('linkwitzRiley: order must be even, got 3'));
    expect(make({ order: 0 })).toThrow(new RangeError('linkwitzRiley: order must be 2 to 16, got 0'));
    expect(make({ order: 18 })).toThrow(new RangeError('linkwitzRiley: order must be 2 to 16, got 18'));
    expect(make({ order: '4' })).toThrow(new TypeError('linkwitzRiley: order must be a number from 2 to 16, got "4"'));
    expect(make({ frequencyHz: 24000 })).toThrow(
      new RangeError('linkwitzRiley: frequencyHz must be above 0 and below 24000, got 24000'),
    );
  });
});
