import { describe, expect, it } from 'vitest';
import { DirectFir } from '../../src/filters/direct-fir.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';
import { LAST_PLACE } from '../support/tolerances.ts';

describe('DirectFir', () => {
  const x = noise(200, 1);

  it.each([1, 2, 7, 24])(
    'is the convolution with %i taps, from the oldest sample to the newest, however it is cut',
    (length) => {
      const taps = noise(length, 2);
      const plain = x.map((_, n) => taps.reduce((sum, tap, j) => sum + tap * (x[n - (length - 1) + j] ?? 0), 0));
      const filter = new DirectFir(taps, 90);
      const y = x.slice();
      for (const [start, end] of [
        [0, 1],
        [1, 4],
        [4, 94],
        [94, 94],
        [94, 110],
        [110, 200],
      ]) {
        filter.run(y.subarray(start, end), end - start);
      }
      expect(largestDifference(y, plain)).toBeLessThan(length * LAST_PLACE);
    },
  );

  it('keeps the last samples as its state, all but the newest that a tap can reach, and forgets them at a reset', () => {
    const filter = new DirectFir(noise(5, 2), 200);
    const [first, second] = [x.slice(), x.slice()];
    filter.run(first, 200);
    expect(filter.state).toEqual([x.slice(-4)]);
    filter.reset();
    filter.run(second, 200);
    expect(firstDifference(first, second)).toBe(-1);
  });
});
