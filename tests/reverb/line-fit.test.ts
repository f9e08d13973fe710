import { describe, expect, it } from 'vitest';
import { lineThrough } from '../../src/reverb/line-fit.ts';

describe('lineThrough', () => {
  it('finds a line that is there, in the stretch alone', () => {
    const values = Float64Array.from({ length: 12 }, (_, n) => (n >= 2 && n < 9 ? 5 - 0.75 * n : 100));
    const { at0, slope } = lineThrough(values, 2, 9);
    expect([at0, slope]).toEqual([5, -0.75]);
  });

  it('leaves errors that add up to 0, also when each is weighted by its place: the normal equations', () => {
    const values = Float64Array.of(9, 4, 7, 1, 1.5, -3, 8);
    const { at0, slope } = lineThrough(values, 1, 6);
    const errors = [1, 2, 3, 4, 5].map((n) => values[n] - (at0 + slope * n));
    expect(errors.reduce((sum, e) => sum + e, 0)).toBeCloseTo(0, 12);
    expect(errors.reduce((sum, e, i) => sum + e * (i + 1), 0)).toBeCloseTo(0, 12);
    expect(slope).toBeCloseTo(-1.95, 12); // by hand: (-2 4 - 1 7 + 1 1.5 - 2 3) / 10
  });

  it('of fewer than two values has no slope', () => {
    expect([0, 1].map((length) => lineThrough(new Float64Array(3), 1, 1 + length).slope)).toEqual([NaN, NaN]);
  });
});
