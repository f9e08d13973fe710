import { describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';
import { excerptOf, levelled, peakOf, stretchesOf } from '../../src/suggestion/excerpt.ts';

const RATE = 100;
const MINUTES = 60 * RATE;
const read = (source: { read(start: number, into: Float64Array): void }, start: number, count: number) => {
  const into = new Float64Array(count);
  source.read(start, into);
  return [...into];
};

describe('an excerpt', () => {
  it('is the whole of a take of up to five minutes', () => {
    expect(stretchesOf(5 * MINUTES, RATE)).toEqual([{ start: 0, frames: 5 * MINUTES }]);
  });

  it('of an hour is ten times 30 s in the middles of its tenths', () => {
    const stretches = stretchesOf(60 * MINUTES, RATE);
    expect(stretches.map(({ start }) => start)).toEqual(
      [...Array(10).keys()].map((i) => (6 * i + 3) * MINUTES - 15 * RATE),
    );
    expect(stretches.every(({ frames }) => frames === 30 * RATE)).toBe(true);
  });

  it('reads its stretches one after the other, silence around them, and 0 for what is no sample', () => {
    const take = Float64Array.from({ length: 20 }, (_, n) => n + 1);
    take[3] = NaN;
    take[12] = 1e9;
    const excerpt = excerptOf(sourceOf(take), [{ start: 2, frames: 3 }, { start: 11, frames: 4 }]); // prettier-ignore
    expect(excerpt.frames).toBe(7);
    expect(read(excerpt, -1, 9)).toEqual([0, 3, 0, 5, 12, 0, 14, 15, 0]);
    expect(read(excerpt, 2, 2)).toEqual([5, 12]);
  });

  it('is levelled to a peak of -6 dBFS, whatever its gain', () => {
    const take = Float64Array.of(0.001, -0.004, 0.002);
    expect(peakOf(sourceOf(take))).toBe(0.004);
    expect(peakOf(levelled(sourceOf(take), 0.004))).toBeCloseTo(10 ** (-6 / 20), 12);
  });
});
