/**
 * Scores found hits against the true ones, drum by drum.
 *
 *     precision P = TP / (TP + FP)      recall R = TP / (TP + FN)      F = 2 TP / (2 TP + FP + FN)
 *
 * A found hit can stand for one true hit of its drum, at most the tolerance away, and the other way round; as many pairs are
 * made as can be (TP), and of all such ways the one with the least sum of errors. On a line the pairs need not cross, so
 * dynamic programming over the sorted positions finds it. What is left of the found is FP, of the true FN. Figures without a
 * denominator are 0.
 *
 * Source: C. Raffel et al., "mir_eval: A Transparent Implementation of Common MIR Metrics", ISMIR 2014: one-to-one matching of
 * greatest size, 0 where either list is empty. Its tolerance for onsets is 50 ms, as in MIREX; drums need a tighter one.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import type { Hit, HitList } from './hit-list.ts';

/** Hits of one class of velocity. */
export interface VelocityClassScore {
  /** Lowest velocity of the class; it ends where the next begins. */
  readonly fromVelocity: number;
  /** True hits. */
  readonly hits: number;
  /** True hits that nothing stands for. */
  readonly missed: number;
  /** Found hits that stand for nothing but come within 50 ms of a true hit of this class: doubles of it. */
  readonly doubled: number;
}

/** How well hits were found. */
export interface HitScore {
  /** Found hits that are hits. */
  readonly truePositives: number;
  /** Found hits that are none. */
  readonly falsePositives: number;
  /** Hits that were not found. */
  readonly falseNegatives: number;
  /** Share of found hits that are hits, 0 to 1. */
  readonly precision: number;
  /** Share of hits that were found, 0 to 1. */
  readonly recall: number;
  /** Harmonic mean of precision and recall, 0 to 1. */
  readonly fMeasure: number;
  /** Median and 95th percentile of the magnitude of the timing errors of all pairs; null if there is none. */
  readonly medianErrorMs: number | null;
  /** 95th percentile of the absolute timing error in milliseconds; null without a hit found. */
  readonly percentile95ErrorMs: number | null;
  /** All doubles. */
  readonly doubled: number;
  /** Classes of velocity, from soft to loud; that of a pair is that of the true hit. */
  readonly byVelocity: readonly VelocityClassScore[];
}

interface Timed {
  readonly ms: number;
  readonly hit: Hit;
}

const CLASS_WIDTH = 32; // velocities 0 to 31, 32 to 63, 64 to 95, 96 to 127
const CLASSES = 4;
const DOUBLE_MS = 50;

/**
 * Scores `found` against `truth`. The two may differ in sample rate.
 *
 * @param toleranceMs - greatest distance of a pair, 0 to 1000
 * @throws RangeError if the tolerance is out of range
 */
export function scoreHits(truth: HitList, found: HitList, toleranceMs: number): HitScore {
  requireRange('scoreHits: toleranceMs', toleranceMs, 0, 1000);
  const errors: number[] = [];
  const classes = Array.from({ length: CLASSES }, (_, c) => ({
    fromVelocity: c * CLASS_WIDTH,
    hits: 0,
    missed: 0,
    doubled: 0,
  }));
  const classOf = ({ hit }: Timed) => classes[Math.min(CLASSES - 1, Math.floor(hit.velocity / CLASS_WIDTH))];
  for (const drum of new Set([...truth.hits, ...found.hits].map((hit) => hit.drum))) {
    const real = timed(truth, drum);
    const heard = timed(found, drum);
    const pairs = matched(real, heard, toleranceMs);
    for (const [a, b] of pairs) errors.push(Math.abs(a.ms - b.ms));
    const met = new Set(pairs.flat());
    for (const hit of real) {
      classOf(hit).hits++;
      if (!met.has(hit)) classOf(hit).missed++;
    }
    for (const extra of heard.filter((hit) => !met.has(hit))) {
      const nearest = real.reduce((best, hit) => (distance(hit, extra) < distance(best, extra) ? hit : best), real[0]);
      if (real.length > 0 && distance(nearest, extra) <= DOUBLE_MS) classOf(nearest).doubled++;
    }
  }
  const truePositives = errors.length;
  const sorted = errors.sort((a, b) => a - b);
  const share = (part: number, whole: number) => (whole > 0 ? part / whole : 0);
  return {
    truePositives,
    falsePositives: found.hits.length - truePositives,
    falseNegatives: truth.hits.length - truePositives,
    precision: share(truePositives, found.hits.length),
    recall: share(truePositives, truth.hits.length),
    fMeasure: share(2 * truePositives, found.hits.length + truth.hits.length),
    medianErrorMs: percentile(sorted, 0.5),
    percentile95ErrorMs: percentile(sorted, 0.95),
    doubled: classes.reduce((sum, { doubled }) => sum + doubled, 0),
    byVelocity: classes,
  };
}

/** The hits of a drum in milliseconds. */
function timed({ hits, sampleRateHz }: HitList, drum: string): Timed[] {
  return hits.filter((hit) => hit.drum === drum).map((hit) => ({ ms: (hit.sample * 1000) / sampleRateHz, hit }));
}

const distance = (a: Timed, b: Timed): number => Math.abs(a.ms - b.ms);

/** The most pairs there can be, and of those the nearest; stretch by stretch, between which nothing can pair. */
function matched(real: readonly Timed[], heard: readonly Timed[], toleranceMs: number): (readonly [Timed, Timed])[] {
  const pairs: (readonly [Timed, Timed])[] = [];
  let r = 0;
  let h = 0;
  while (r < real.length && h < heard.length) {
    const rStart = r;
    const hStart = h;
    let end = Math.min(real[r].ms, heard[h].ms);
    for (;;) {
      if (r < real.length && real[r].ms - end <= toleranceMs) end = Math.max(end, real[r++].ms);
      else if (h < heard.length && heard[h].ms - end <= toleranceMs) end = Math.max(end, heard[h++].ms);
      else break;
    }
    pairs.push(...matchedWithin(real.slice(rStart, r), heard.slice(hStart, h), toleranceMs));
  }
  return pairs;
}

/** Best pairs of two short lists: `best[i][j]` is what the first i and j of them reach, worth a unit a pair less its error. */
function matchedWithin(
  real: readonly Timed[],
  heard: readonly Timed[],
  toleranceMs: number,
): (readonly [Timed, Timed])[] {
  const unit = 1 + toleranceMs * Math.min(real.length, heard.length); // one more pair outweighs all errors
  const worth = (i: number, j: number) => {
    const error = distance(real[i - 1], heard[j - 1]);
    return error <= toleranceMs ? unit - error : -Infinity;
  };
  const best = real.concat(real[0]).map(() => new Float64Array(heard.length + 1));
  for (let i = 1; i <= real.length; i++) {
    for (let j = 1; j <= heard.length; j++) {
      best[i][j] = Math.max(best[i - 1][j], best[i][j - 1], best[i - 1][j - 1] + worth(i, j));
    }
  }
  const pairs: (readonly [Timed, Timed])[] = [];
  for (let i = real.length, j = heard.length; i > 0 && j > 0;) {
    if (best[i][j] === best[i - 1][j]) i--;
    else if (best[i][j] === best[i][j - 1]) j--;
    else pairs.push([real[--i], heard[--j]]);
  }
  return pairs;
}

/** The value below which a share of sorted values lies; null of none. */
function percentile(sorted: readonly number[], share: number): number | null {
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? null;
}
