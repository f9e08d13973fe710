/**
 * The static curves, fast: what a level that has passed a threshold asks the gain for, in octaves.
 *
 *     k[1] threshold T   k[2] width W of the knee   k[3] slope S   k[4] range, with the sign of S
 *
 *     0                                 level < T - W/2
 *     S (level - T + W/2)^2 / (2 W)     between
 *     S (level - T)                     level > T + W/2,     never beyond the range
 *
 * With S = 1/R - 1 this is the gain of `staticCurve`. The three cases are one without a branch, which noise would have
 * guessed wrong half of the time: (|v| + v) / 2 is v above 0 and exactly 0 below.
 *
 * @module
 */

/** Replaces levels by what they ask for. */
export function pastThreshold(row: Float64Array, count: number, k: ArrayLike<number>): void {
  const threshold = k[1],
    knee = k[2],
    slope = k[3],
    range = k[4];
  const bend = knee > 1e-6 ? slope / (2 * knee) : 0; // a knee narrower than this, in octaves, is a corner
  const kneeBegin = threshold - knee / 2;
  for (let i = 0; i < count; i++) {
    const over = row[i] - kneeBegin,
      beyond = over - knee;
    const aboveKnee = (Math.abs(beyond) + beyond) / 2;
    const intoKnee = (Math.abs(over) + over) / 2 - aboveKnee;
    const gain = bend * intoKnee * intoKnee + slope * aboveKnee;
    row[i] = Math.abs(gain) < Math.abs(range) ? gain : range;
  }
}
