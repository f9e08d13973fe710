import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CostedStrip, shareStrips } from '../../src/mix/mix-share.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { costedStrips } from '../../src/mix/strip-cost.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';

/** Strips of which each may be heard by later ones; the last hears all that nobody else hears. */
const strips: fc.Arbitrary<CostedStrip[]> = fc
  .array(fc.tuple(fc.integer({ min: 1, max: 500 }), fc.array(fc.nat(19), { maxLength: 3 })), {
    minLength: 1,
    maxLength: 20,
  })
  .map((drawn) =>
    drawn.map(([cost, ahead], i) => {
      const last = drawn.length - 1;
      const later = ahead.map((step) => i + 1 + step).filter((hearer) => hearer < last);
      return { path: `${i}`, cost, hearers: i === last ? [] : [...new Set([...later, last])].map(String) };
    }),
  );

const loadsOf = (all: readonly CostedStrip[], share: ReadonlyMap<string, number>): number[] => {
  const loads: number[] = [];
  for (const { path, cost } of all) {
    const thread = share.get(path) as number;
    loads[thread] = (loads[thread] ?? 0) + cost;
  }
  return loads;
};

describe('shareStrips', () => {
  it('lets no thread hear a later one, and gives the last strip to the last of them', () => {
    fc.assert(
      fc.property(strips, fc.integer({ min: 1, max: 8 }), (all, threads) => {
        const share = shareStrips(all, threads);
        const of = (path: string) => share.get(path) as number;
        expect(share.size).toBe(all.length);
        for (const { path, hearers } of all)
          for (const hearer of hearers) expect(of(hearer)).toBeGreaterThanOrEqual(of(path));
        expect(of(`${all.length - 1}`)).toBe(Math.min(threads, all.length) - 1);
      }),
    );
  });

  it('finds equal loads where strips of one cost allow them', () => {
    const all = Array.from({ length: 12 }, (_, i) => ({ path: `${i}`, cost: 5, hearers: i === 11 ? [] : ['11'] }));
    for (const threads of [1, 2, 3, 4, 6]) {
      expect(loadsOf(all, shareStrips(all, threads))).toEqual(new Array(threads).fill(60 / threads));
    }
  });

  it('cuts the demo so that two threads have at most 55 % of the work each, and three at most 40 %', () => {
    const all = costedStrips(parsePlan(demoPlan), {});
    const whole = all.reduce((sum, { cost }) => sum + cost, 0);
    for (const [threads, most] of [
      [2, 0.55],
      [3, 0.4],
    ]) {
      expect(Math.max(...loadsOf(all, shareStrips(all, threads)))).toBeLessThan(most * whole);
    }
  });
});
