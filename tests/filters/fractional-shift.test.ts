import { describe, expect, it } from 'vitest';
import { FractionalShift, MAX_SHIFT_SAMPLES } from '../../src/filters/fractional-shift.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

/** The part from `start` on of x(n - delay), by the class. */
function shifted(x: (n: number) => number, delaySamples: number, start: number, count: number): Float64Array {
  const shift = new FractionalShift(delaySamples);
  const { wholeSamples, beforeSamples, afterSamples } = shift;
  const window = Float64Array.from({ length: count + beforeSamples + afterSamples }, (_, i) =>
    x(start - wholeSamples - beforeSamples + i),
  );
  const y = new Float64Array(count);
  shift.run(window, y, count);
  return y;
}

describe('FractionalShift', () => {
  it.each([0, 3, -17, 100])('is exact to the bit for %i samples, and needs nothing around', (delaySamples) => {
    const x = noise(300, 4);
    const y = shifted((n) => x[n], delaySamples, 120, 50);
    expect(firstDifference(y, x.subarray(120 - delaySamples, 170 - delaySamples))).toBe(-1);
    const { wholeSamples, beforeSamples, afterSamples } = new FractionalShift(delaySamples);
    expect([wholeSamples, beforeSamples, afterSamples]).toEqual([delaySamples, 0, 0]);
  });

  it.each([0.5, 2.25, -0.1, -7.75, 1000.001])('moves tones by %d samples', (delaySamples) => {
    for (const turns of [0.001, 0.1, 0.4]) {
      const tone = (n: number): number => Math.sin(2 * Math.PI * turns * n + 1);
      const wanted = Float64Array.from({ length: 200 }, (_, n) => tone(n + 5 - delaySamples));
      expect(largestDifference(shifted(tone, delaySamples, 5, 200), wanted)).toBeLessThan(1e-5);
    }
    expect(new FractionalShift(delaySamples).wholeSamples).toBe(Math.floor(delaySamples));
  });

  it('refuses what is farther than its range', () => {
    for (const farthest of [MAX_SHIFT_SAMPLES, -MAX_SHIFT_SAMPLES]) {
      expect(new FractionalShift(farthest).wholeSamples).toBe(farthest);
      expect(() => new FractionalShift(1.1 * farthest)).toThrow(
        /^FractionalShift: delaySamples must be -4000000 to 4000000/,
      );
    }
  });
});
