import { describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';

describe('a source of samples in memory', () => {
  const source = sourceOf(Float32Array.of(1, 2, 3));
  const read = (start: number, count: number): number[] => {
    const into = new Float64Array(count).fill(9);
    source.read(start, into);
    return [...into];
  };

  it('gives any stretch, silence before its start and after its end', () => {
    expect(source.frames).toBe(3);
    expect(read(0, 3)).toEqual([1, 2, 3]);
    expect(read(1, 1)).toEqual([2]);
    expect(read(-2, 4)).toEqual([0, 0, 1, 2]);
    expect(read(2, 3)).toEqual([3, 0, 0]);
    expect(read(-1, 6)).toEqual([0, 1, 2, 3, 0, 0]);
    expect(read(-9, 2)).toEqual([0, 0]);
    expect(read(7, 2)).toEqual([0, 0]);
    expect(read(0, 0)).toEqual([]);
  });
});
