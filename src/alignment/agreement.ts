/**
 * Which hits agree on a delay: those near the median, with the sign of all.
 *
 *     |delay - median| <= 4 x 1.4826 x median of |delay - median|
 *
 * Half of the hits may lie anywhere without moving the median, which the mean does not forgive.
 *
 * Source: F. R. Hampel, "The Influence Curve and Its Role in Robust Estimation", J. American Statistical Association
 * 69(346), 1974 (median absolute deviation).
 *
 * @module
 */
import { median } from '../core/median.ts';
import type { FineDelay } from './fine-delay.ts';

/** Further from the median than so many standard deviations, as the median tells them, a hit is an outlier. */
const OUTLIER_DEVIATIONS = 4;
/** Standard deviation of normal numbers over their median magnitude. */
const DEVIATION_PER_MEDIAN = 1.4826;
/** No hit is an outlier by less: 0.1 sample at 48 kHz. */
const OUTLIER_FLOOR_SECONDS = 2e-6;

/** A hit whose frequencies agree less than this has no delay of its own: unrelated sounds reach 0.2 by chance. */
const LEAST_HEIGHT = 0.3;
/** Which hits agree with the median of all in delay and polarity, and within themselves. */
export function agreeing(fine: FineDelay, sampleRateHz: number): boolean[] {
  const middle = median(fine.hitDelays);
  const spread = DEVIATION_PER_MEDIAN * median(fine.hitDelays.map((delay) => Math.abs(delay - middle)));
  const limit = Math.max(OUTLIER_DEVIATIONS * spread, OUTLIER_FLOOR_SECONDS * sampleRateHz);
  return fine.hitDelays.map(
    (delay, i) =>
      Math.abs(delay - middle) <= limit &&
      fine.hitPolarities[i] === fine.polarity &&
      fine.hitHeights[i] >= LEAST_HEIGHT,
  );
}
