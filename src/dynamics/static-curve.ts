/**
 * Static curves: output level over input level of compressors and an expander at rest, all in dB.
 *
 *     compressor   out = in                                             2 (in - T) < -W
 *                  out = in + (1/R - 1) (in - T + W/2)^2 / (2 W)        2 |in - T| <= W
 *                  out = T + (in - T) / R                               2 (in - T) > W
 *
 *     expander     out = T + R (in - T)                                 2 (in - T) < -W
 *                  out = in - (R - 1) (in - T - W/2)^2 / (2 W)          2 |in - T| <= W
 *                  out = in                                             2 (in - T) > W
 *
 *     upward       as the expander, with 1/R for R: what lies below T is raised towards it
 *
 * T threshold, R ratio, W width of the knee, which is centred on T. At T itself the knee changes the level by
 * (1/R - 1) W/8, by -(R - 1) W/8 and by (1 - 1/R) W/8. Without a knee the middle case is empty.
 *
 * Source: D. Giannoulis, M. Massberg, J. D. Reiss, "Digital Dynamic Range Compressor Design - A Tutorial and Analysis",
 * JAES 60(6), 2012, Eq. (4). The expander is its mirror image, derived here.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';

const WIDEST_KNEE_DB = 240;

/** Shape of a static curve. */
export interface CurveOptions {
  /** Level where the curve bends. */
  readonly thresholdDb: number;
  /** 1 to Infinity: input dB for each output dB on a compressor's side of the threshold; output dB for each below, expanding. */
  readonly ratio: number;
  /** Width of the knee, 0 to 240; 0 unless given. */
  readonly kneeDb?: number;
}

/** Shape of a static curve that ends at a range. */
export interface ExpansionOptions extends CurveOptions {
  /** Greatest change of the level, 0 or above; Infinity unless given. */
  readonly rangeDb?: number;
}

/**
 * Output level of a compressor at rest.
 *
 * @param levelDb - input level; -Infinity is silence
 * @throws RangeError if `ratio` or `kneeDb` is out of range
 */
export function staticCurve(levelDb: number, options: CurveOptions): number {
  return levelDb + staticGain(levelDb, options);
}

/** Gain of a compressor at rest, 0 dB or below: what {@link staticCurve} adds to the level. */
export function staticGain(levelDb: number, { thresholdDb, ratio, kneeDb = 0 }: CurveOptions): number {
  requireRange('staticCurve: levelDb', levelDb, -Infinity, Infinity);
  requireRange('staticCurve: thresholdDb', thresholdDb, -1000, 1000);
  requireRange('staticCurve: ratio', ratio, 1, Infinity);
  requireRange('staticCurve: kneeDb', kneeDb, 0, WIDEST_KNEE_DB);
  const slope = 1 / ratio - 1;
  const over = levelDb - thresholdDb;
  if (2 * over <= -kneeDb) return 0;
  if (2 * over >= kneeDb) return slope * over;
  const intoKnee = over + kneeDb / 2;
  return (slope * intoKnee * intoKnee) / (2 * kneeDb);
}

/**
 * Output level of an expander at rest.
 *
 * @param levelDb - input level; -Infinity is silence
 * @throws RangeError if `ratio`, `kneeDb` or `rangeDb` is out of range
 */
export function expansionCurve(levelDb: number, options: ExpansionOptions): number {
  return levelDb + gainBelow('expansionCurve', levelDb, options, 1 - options.ratio);
}

/**
 * Output level of an upward compressor at rest. The range bounds how far noise rises; silence stays silent.
 *
 * @param levelDb - input level; -Infinity is silence
 * @throws RangeError if `ratio`, `kneeDb` or `rangeDb` is out of range
 */
export function upwardCurve(levelDb: number, options: ExpansionOptions): number {
  if (levelDb === -Infinity) return levelDb;
  return levelDb + gainBelow('upwardCurve', levelDb, options, 1 - 1 / options.ratio);
}

/** Gain below a threshold: `slope` dB for each dB that the level is below. */
function gainBelow(
  owner: string,
  levelDb: number,
  { thresholdDb, ratio, kneeDb = 0, rangeDb = Infinity }: ExpansionOptions,
  slope: number,
): number {
  requireRange(`${owner}: levelDb`, levelDb, -Infinity, Infinity);
  requireRange(`${owner}: thresholdDb`, thresholdDb, -1000, 1000);
  requireRange(`${owner}: ratio`, ratio, 1, Infinity);
  requireRange(`${owner}: kneeDb`, kneeDb, 0, WIDEST_KNEE_DB);
  requireRange(`${owner}: rangeDb`, rangeDb, 0, Infinity);
  const under = thresholdDb - levelDb;
  if (slope === 0 || 2 * under <= -kneeDb) return 0;
  const intoKnee = under + kneeDb / 2;
  const gain = 2 * under >= kneeDb ? slope * under : (slope * intoKnee * intoKnee) / (2 * kneeDb);
  return Math.min(rangeDb, Math.max(-rangeDb, gain));
}
