import { describe, expect, it } from 'vitest';
import { convolve } from '../../src/filters/convolve.ts';
import { noise } from '../support/signals.ts';

describe('convolve', () => {
  it.each([0, 1, 3, 4, 5, 8, 11])('fills %i outputs by the definition, and leaves the rest alone', (count) => {
    const w = Float64Array.of(1, 2, -3, 5, 8, -13, 21, 34, 55, 89, 144, 233, 377, 610),
      taps = Float64Array.of(1, -1, 2);
    const y = noise(16);
    convolve(w, taps, count, y);
    const expected = noise(16).map((v, i) => (i < count ? w[i] - w[i + 1] + 2 * w[i + 2] : v)); // whole numbers: exact
    expect([...y]).toEqual([...expected]);
  });
});
