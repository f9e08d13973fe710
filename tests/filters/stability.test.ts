import { describe, expect, it } from 'vitest';
import { tailOfSections } from '../../src/filters/stability.ts';

/** A section with two poles: z^2 + a1 z + a2 = (z - p)(z - q). */
const ofPoles = (sum: number, product: number): Float64Array => Float64Array.of(1, 0, 0, -sum, product);

describe('tailOfSections', () => {
  it.each([
    ['two real poles, 0.9 and -0.5', ofPoles(0.4, -0.45), 0.9],
    ['two real poles, -0.95 and 0.2', ofPoles(-0.75, -0.19), 0.95],
    ['one real pole, 0.99', ofPoles(0.99, 0), 0.99],
    ['a double pole, 0.8', ofPoles(1.6, 0.64), 0.8],
    ['a pair of radius 0.98 at 0.3', ofPoles(2 * 0.98 * Math.cos(0.3), 0.98 ** 2), 0.98],
  ])('is 18 / (1 - r) of the larger radius: %s', (_, section, radius) => {
    expect(Math.abs(tailOfSections(section) - 18 / (1 - radius))).toBeLessThanOrEqual(1);
  });

  it('adds over sections, and has no end for a pole on the unit circle', () => {
    const [one, other] = [ofPoles(0.4, -0.45), ofPoles(0.99, 0)];
    expect(tailOfSections(Float64Array.of(...one, ...other))).toBe(tailOfSections(one) + tailOfSections(other));
    expect(tailOfSections(ofPoles(1, 0))).toBe(Infinity);
  });

  it('is a bound of 120 dB for the slowest of all, a double pole, and half of it is not', () => {
    const r = 0.8,
      answer = (n: number): number => (n + 1) * r ** n;
    const loudest = Math.max(...Array.from({ length: 50 }, (_, n) => answer(n)));
    const tail = tailOfSections(ofPoles(2 * r, r * r));
    expect(answer(tail)).toBeLessThan(1e-6 * loudest);
    expect(answer(tail / 2)).toBeGreaterThan(1e-6 * loudest);
  });
});
