/**
 * Channel link: how far the channels of one block move together, from 0 (each alone) to 1 (as one).
 *
 *     gains    own + link (lowest over the channels - own)      in dB: a ceiling that holds alone holds linked
 *     levels   own + link (loudest over the channels - own)     in dB: a gate opens by the loudest
 *
 * The share comes as the first of the caller's constants: a number handed to a function may be boxed, an array is not.
 *
 * @module
 */
import { exp2InPlace, log2InPlace } from '../core/maths.ts';

/** Moves logarithmic gains, in place, towards the lowest of them. `k[0]` is the link share. */
export function linkGains(rows: readonly Float64Array[], count: number, k: Float64Array): void {
  const link = k[0];
  for (let i = 0; i < count; i++) {
    let lowest = Infinity;
    for (let c = 0; c < rows.length; c++) lowest = Math.min(lowest, rows[c][i]);
    for (let c = 0; c < rows.length; c++) rows[c][i] += link * (lowest - rows[c][i]);
  }
}

/** Moves linear levels, in place, towards the loudest of them; the path between is straight in dB. `k[0]` as above. */
export function linkLevels(rows: readonly Float64Array[], count: number, k: Float64Array): void {
  const link = k[0];
  for (let c = 0; c < rows.length; c++) log2InPlace(rows[c], count);
  for (let i = 0; i < count; i++) {
    let loudest = rows[0][i];
    for (let c = 1; c < rows.length; c++) if (rows[c][i] > loudest) loudest = rows[c][i];
    for (let c = 0; c < rows.length; c++) rows[c][i] += link * (loudest - rows[c][i]);
  }
  for (let c = 0; c < rows.length; c++) exp2InPlace(rows[c], count);
}
