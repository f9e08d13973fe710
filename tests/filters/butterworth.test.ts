import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { butterworthHighpass, butterworthLowpass } from '../../src/filters/butterworth.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import vectors from '../vectors/butterworth.json' with { type: 'json' };
import { corners, warped } from './analog-prototypes.ts';

const designs = { butterworthLowpass, butterworthHighpass };
const names = ['butterworthLowpass', 'butterworthHighpass'] as const;
const at48 = { sampleRateHz: 48000, frequencyHz: 1000 };
const orders = Array.from({ length: 16 }, (_, i) => i + 1);
const worst = (errors: number[]): number => errors.reduce((max, error) => Math.max(max, Math.abs(error)), 0);

function levels(sections: BiquadCoefficients[], sampleRateHz: number, frequenciesHz: number[]): number[] {
  return [...frequencyResponse(sections, { sampleRateHz, frequenciesHz }).magnitudeDb];
}

/** Coefficients of a product of polynomials. */
function product(polynomials: number[][]): number[] {
  return polynomials.reduce(
    (all, factor) => {
      const next = new Array<number>(all.length + factor.length - 1).fill(0);
      all.forEach((a, i) => factor.forEach((b, j) => (next[i + j] += a * b)));
      return next;
    },
    [1],
  );
}

/** Q read back from the denominator: cos w0 = -a1/(1 + a2), alpha = (1 - a2)/(1 + a2) = sin w0 / (2Q). */
function qOf({ a1, a2 }: BiquadCoefficients): number {
  return Math.sqrt((1 + a2) ** 2 - a1 * a1) / (2 * (1 - a2));
}

describe('Butterworth orders 1 to 8 against scipy.signal.butter 1.10.1', () => {
  const tables = Object.entries(vectors.butterworth).map(([order, table]) => ({ order: Number(order), ...table }));

  it.each(tables)('order $order: section Q, low to high, and the first-order section first', (table) => {
    for (const name of names) {
      const sections = designs[name]({ ...at48, order: table.order });
      const firstOrder = sections.filter(({ a2 }) => a2 === 0);
      expect(firstOrder).toEqual(table.has_first_order_section ? [sections[0]] : []);
      const qs = sections.filter(({ a2 }) => a2 !== 0).map(qOf);
      expect(qs).toHaveLength(table.section_Q.length);
      expect(worst(qs.map((q, i) => q - table.section_Q[i]))).toBeLessThan(1e-11); // 12 digits printed
    }
  });

  it.each(tables)('order $order: sections', (table) => {
    for (const [name, wanted] of [
      ['butterworthLowpass', table.sos_lp],
      ['butterworthHighpass', table.sos_hp],
    ] as const) {
      const sections = designs[name]({ ...at48, order: table.order });
      expect(sections).toHaveLength(wanted.length);
      const poles = sections.flatMap(({ a1, a2 }, s) => [a1 - wanted[s][4], a2 - wanted[s][5]]);
      expect(worst(poles)).toBeLessThan(1e-12);
      // scipy spreads gain and zeros over the sections in its own way, so the numerators are multiplied out.
      const numerator = product(sections.map(({ b0, b1, b2 }) => [b0, b1, b2]));
      const expected = product(wanted.map((row) => row.slice(0, 3)));
      const scale = worst(expected);
      expect(worst(numerator.map((b, i) => (b - expected[i]) / scale))).toBeLessThan(1e-11); // scipy's own rounding
    }
  });

  it.each(tables)('order $order: levels of the digital filter at 1 kHz, 48 kHz', (table) => {
    const low = table.digital_lp_1k_48k;
    const high = table.digital_hp_1k_48k;
    const lowpass = levels(butterworthLowpass({ ...at48, order: table.order }), 48000, low.f);
    const highpass = levels(butterworthHighpass({ ...at48, order: table.order }), 48000, high.f);
    expect(worst(lowpass.map((level, i) => level - low.mag_dB[i]))).toBeLessThan(2e-6); // 9 digits of up to 151 dB
    expect(worst(highpass.map((level, i) => level - high.mag_dB[i]))).toBeLessThan(2e-6);
  });
});

describe.each(orders)('Butterworth order %i', (order) => {
  it('has |H|^2 = 1 / (1 + r^(2N)) at r times the corner, -3.0103 dB on it', () => {
    fc.assert(
      fc.property(corners(), ({ sampleRateHz, frequencyHz }) => {
        const frequenciesHz = [0.1, 0.8, 1, 1.2, 5].map((x) => x * frequencyHz).filter((f) => f < 0.499 * sampleRateHz);
        const ratios = frequenciesHz.map((f) => warped(f, frequencyHz, sampleRateHz));
        const options = { sampleRateHz, frequencyHz, order };
        const closed = (r: number): number => -10 * Math.log10(1 + r ** (2 * order));
        const low = levels(butterworthLowpass(options), sampleRateHz, frequenciesHz);
        const high = levels(butterworthHighpass(options), sampleRateHz, frequenciesHz);
        const errors = ratios.flatMap((r, i) => [low[i] - closed(r), high[i] - closed(1 / r)]);
        expect(worst(errors)).toBeLessThan(1e-6);
      }),
      { numRuns: 30 },
    );
  });

  it('has its poles evenly on the half circle of the s plane', () => {
    // s = (1/K)(z - 1)/(z + 1) turns 1 + a1/z + a2/z^2 into (1 - a1 + a2) K^2 s^2 + 2 (1 - a2) K s + (1 + a1 + a2).
    const k = Math.tan((Math.PI * at48.frequencyHz) / at48.sampleRateHz);
    const angles = butterworthLowpass({ ...at48, order }).flatMap(({ a1, a2 }) => {
      if (a2 === 0) {
        expect(Math.abs((1 + a1) / (1 - a1) / k - 1)).toBeLessThan(1e-11); // the real pole at s = -1
        return [Math.PI];
      }
      const squaredRadius = (1 + a1 + a2) / (1 - a1 + a2) / (k * k);
      expect(Math.abs(squaredRadius - 1)).toBeLessThan(1e-11);
      const real = -(1 - a2) / (1 - a1 + a2) / k;
      const angle = Math.acos(real);
      return [angle, 2 * Math.PI - angle];
    });
    const wanted = Array.from({ length: order }, (_, i) => Math.PI / 2 + ((2 * i + 1) * Math.PI) / (2 * order));
    const found = angles.sort((a, b) => a - b);
    expect(worst(found.map((angle, i) => angle - wanted[i]))).toBeLessThan(1e-10);
    expect(found).toHaveLength(order);
  });
});

describe('Butterworth filters', () => {
  it('of two equal sections would be -6.02 dB at the corner: order 4 is not that', () => {
    const [level] = levels(butterworthLowpass({ ...at48, order: 4 }), 48000, [1000]);
    expect(Math.abs(level + 3.0103)).toBeLessThan(1e-4);
  });

  it.each(names)('%s refuses by its own name', (name) => {
    const make = (options: object) => () => designs[name]({ ...at48, order: 4, ...options });
    expect(make({ order: 0 })).toThrow(new RangeError(`${name}: order must be 1 to 16, got 0`));
    expect(make({ order: 17 })).toThrow(new RangeError(`${name}: order must be 1 to 16, got 17`));
    expect(make({ order: 2.5 })).toThrow(new RangeError(`${name}: order must be a whole number from 1 to 16, got 2.5`));
    expect(make({ frequencyHz: 0 })).toThrow(
      new RangeError(`${name}: frequencyHz must be above 0 and below 24000, got 0`),
    );
  });
});
