import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assign } from '../../src/suggestion/assignment.ts';

/** The least cost by trying every assignment. */
function leastByTrying(costs: readonly (readonly number[])[], row = 0, taken: readonly number[] = []): number {
  if (row === costs.length) return 0;
  return costs[row].reduce(
    (least, cost, column) =>
      taken.includes(column) ? least : Math.min(least, cost + leastByTrying(costs, row + 1, [...taken, column])),
    Infinity,
  );
}

const table = fc.tuple(fc.integer({ min: 1, max: 5 }), fc.integer({ min: 0, max: 2 })).chain(([rows, more]) =>
  fc.array(fc.array(fc.integer({ min: -50, max: 50 }), { minLength: rows + more, maxLength: rows + more }), {
    minLength: rows,
    maxLength: rows,
  }),
);

describe('assign', () => {
  it('costs as little as the best of all assignments, and gives no column twice', () => {
    fc.assert(
      fc.property(table, (costs) => {
        const columns = assign(costs);
        expect(new Set(columns).size).toBe(costs.length);
        expect(columns.reduce((sum, column, row) => sum + costs[row][column], 0)).toBe(leastByTrying(costs));
      }),
    );
  });

  it('takes the only way that is allowed', () => {
    expect(assign([[Infinity, 1], [0, 0]])).toEqual([1, 0]); // prettier-ignore
    expect(() => assign([[Infinity, 1], [Infinity, 0]])).toThrow('must have a column left'); // prettier-ignore
    expect(() => assign([[1], [2]])).toThrow(new RangeError('assign: columns must be at least 2, got 1'));
  });
});
