import { describe, expect, it } from 'vitest';
import { median } from '../../src/core/median.ts';

describe('median', () => {
  it('is the middle value, whatever the order, by number and not by text', () => {
    expect(median([10, 9, 100])).toBe(10);
    expect(median([-3])).toBe(-3);
  });

  it('of an even count is the mean of the two in the middle (the usual convention of statistics)', () => {
    expect(median([8, 1, 2, 4])).toBe(3);
    expect(median([-Infinity, 1])).toBe(-Infinity);
  });

  it('of nothing is none, and the list stays as it was', () => {
    expect(median([])).toBeNaN();
    const list = [3, 1, 2];
    median(list);
    expect(list).toEqual([3, 1, 2]);
  });
});
