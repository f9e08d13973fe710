import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hitListOf } from '../../src/hits/hit-list.ts';
import { scoreHits } from '../../src/hits/score-hits.ts';
import vectors from '../vectors/onset_eval.json' with { type: 'json' };
import { hitAt, listAt } from './hits-support.ts';

describe('the score of hits', () => {
  // The examples of the published matching rule, counted by hand.
  it.each(vectors.cases.map((row, index) => ({ index, ...row })))('agrees with vector $index', (row) => {
    const score = scoreHits(listAt(row.ref), listAt(row.est), row.window * 1000);
    if (row.TP !== undefined) {
      expect([score.truePositives, score.falsePositives, score.falseNegatives]).toEqual([row.TP, row.FP, row.FN]);
      expect(score.precision).toBeCloseTo(row.P, 9);
      expect(score.recall).toBeCloseTo(row.R, 9);
    }
    expect(score.fMeasure).toBeCloseTo(row.F, 9);
  });

  it('makes as many pairs as an independent search for the greatest matching (augmenting paths)', () => {
    const times = fc.array(fc.integer({ min: 0, max: 60 }), { maxLength: 12 });
    fc.assert(
      fc.property(times, times, fc.integer({ min: 0, max: 9 }), (real, heard, tolerance) => {
        const score = scoreHits(
          listAt(real.map((t) => t / 1000)),
          listAt(heard.map((t) => t / 1000)),
          tolerance + 1e-6, // milliseconds made of samples are not whole
        );
        expect(score.truePositives).toBe(greatestMatching(real, heard, tolerance));
      }),
    );
  });

  it('prefers the near of two that could stand for a hit', () => {
    const score = scoreHits(listAt([1]), listAt([0.992, 1.001]), 10);
    expect(score.truePositives).toBe(1);
    expect(score.medianErrorMs).toBeCloseTo(1, 9);
    expect(score.doubled).toBe(1);
  });

  it('gives up nearness for one more pair', () => {
    const score = scoreHits(listAt([1, 1.008]), listAt([1.007, 1.016]), 10);
    expect(score.truePositives).toBe(2);
    expect(score.percentile95ErrorMs).toBeCloseTo(8, 9);
  });

  it('does not let one drum stand for another', () => {
    const score = scoreHits(listAt([1]), listAt([1], { drum: 'kick' }), 10);
    expect([score.truePositives, score.falsePositives, score.falseNegatives]).toEqual([0, 1, 1]);
    expect(score.medianErrorMs).toBeNull();
  });

  it('counts hits, misses and doubles by the velocity of the true hit', () => {
    const truth = hitListOf(48000, [hitAt(48000, { velocity: 20 }), hitAt(96000, { velocity: 127 }), hitAt(144000)]);
    const found = hitListOf(48000, [hitAt(96000), hitAt(96000 + 48 * 30), hitAt(144000), hitAt(144000 + 48 * 60)]);
    const { byVelocity, doubled } = scoreHits(truth, found, 10);
    expect(byVelocity).toEqual([
      { fromVelocity: 0, hits: 1, missed: 1, doubled: 0 },
      { fromVelocity: 32, hits: 0, missed: 0, doubled: 0 },
      { fromVelocity: 64, hits: 1, missed: 0, doubled: 0 }, // 60 ms after it is no double
      { fromVelocity: 96, hits: 1, missed: 0, doubled: 1 },
    ]);
    expect(doubled).toBe(1);
  });

  it('compares lists of different sample rates by time', () => {
    const found = hitListOf(96000, [hitAt(96000)]);
    expect(scoreHits(listAt([1]), found, 0.001).fMeasure).toBe(1);
  });

  it('is 0 where a list is empty', () => {
    expect(scoreHits(listAt([]), listAt([]), 10)).toMatchObject({ precision: 0, recall: 0, fMeasure: 0 });
  });

  it('refuses a tolerance out of range', () => {
    expect(() => scoreHits(listAt([]), listAt([]), -1)).toThrow('scoreHits: toleranceMs must be 0 to 1000, got -1');
  });
});

function greatestMatching(real: readonly number[], heard: readonly number[], tolerance: number): number {
  const partner = new Map<number, number>();
  const place = (r: number, seen: Set<number>): boolean =>
    heard.some((t, h) => {
      if (Math.abs(t - real[r]) > tolerance || seen.has(h)) return false;
      seen.add(h);
      const other = partner.get(h);
      if (other !== undefined && !place(other, seen)) return false;
      partner.set(h, r);
      return true;
    });
  return real.filter((_, r) => place(r, new Set())).length;
}
