import { describe, expect, it } from 'vitest';
import { absorb, ABSORPTION_PAST } from '../../src/reverb/absorption-kernel.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

const FIRST = 3; // place of the constants
const coefficients = noise(24, 5, 0.4); // b1 b2 a1 a2 of six sections; a1 and a2 below 0.5 are stable
const constants = Float64Array.of(9, 9, 9, 0.8, ...coefficients);

/** Six second-order sections in series as their difference equation is written, one after the other. */
function inSeries(x: Float64Array, gain: number): Float64Array {
  let y = x.map((v) => gain * v);
  for (let s = 0; s < 6; s++) {
    const [b1, b2, a1, a2] = coefficients.subarray(4 * s);
    const input = y;
    y = new Float64Array(x.length);
    const before = (v: Float64Array, n: number): number => (n < 0 ? 0 : v[n]);
    for (let n = 0; n < y.length; n++) {
      y[n] = input[n] + b1 * before(input, n - 1) + b2 * before(input, n - 2);
      y[n] -= a1 * before(y, n - 1) + a2 * before(y, n - 2);
    }
  }
  return y;
}

describe('absorb', () => {
  it('is a gain and six second-order sections in series, however the signal is cut', () => {
    const x = noise(60, 1);
    const y = new Float64Array(60),
      past = new Float64Array(ABSORPTION_PAST);
    const stops = [0, 1, 2, 5, 5, 23, 60];
    stops.slice(1).forEach((end, s) => {
      absorb(x, stops[s], end - stops[s], y, stops[s], constants, FIRST, past);
    });
    expect(largestDifference(y, inSeries(x, 0.8))).toBeLessThan(1e-14);
  });

  it('takes and writes the stretch it is told to, and nothing else', () => {
    const x = noise(9, 1),
      y = new Float64Array(9).fill(7);
    absorb(x, 4, 3, y, 1, constants, FIRST, new Float64Array(ABSORPTION_PAST));
    expect(largestDifference(y.subarray(1, 4), inSeries(x.slice(4, 7), 0.8))).toBeLessThan(1e-15);
    expect([y[0], ...y.subarray(4)]).toEqual([7, 7, 7, 7, 7, 7]);
  });

  it('keeps samples bit for bit where poles and zeros are equal and the gain is 1', () => {
    const [b1, b2] = coefficients;
    const alike = Float64Array.of(1, ...Array.from({ length: 6 }, () => [b1, b2, b1, b2]).flat());
    const x = noise(40, 2),
      y = new Float64Array(40);
    absorb(x, 0, 40, y, 0, alike, 0, new Float64Array(ABSORPTION_PAST));
    expect(firstDifference(y, x)).toBe(-1);
  });
});
