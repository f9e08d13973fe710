/**
 * The tables of the fast functions of `src/core/maths.ts`, in the module's memory behind its scratch, and the scratch of who
 * uses them. In doubles from the start of the memory:
 *
 *     row        of levels or gains       at      0      free, as the next is, unless half-bands are at work
 *     constants  of a call                     2 048     free between the way up and the way down, too
 *     tables     log2, 2^x, tanh              16 384  18 433  20 482
 *     rows       of up to 64 channels         38 976 .. 48 272   as `simd-rows.ts` has them
 *
 * @module
 */
import { exp2Table, log2Table, tanhTable } from '../core/maths.ts';
import { BEFORE_ROWS } from './simd-rows.ts';

const BYTES = 8;

/** Pages of 64 kB that all this takes. */
export const PAGES = 6;

/** Addresses in bytes. */
export const CONSTANTS = BYTES * 2048;
export const ROW = 0;
/** Room for rows, in doubles. */
export const ROOM_OF_ROWS = 38976;
export const ROWS = BYTES * (ROOM_OF_ROWS + BEFORE_ROWS);
export const LOG2_TABLE = BYTES * 16384;
export const EXP2_TABLE = BYTES * 18433;
export const TANH_TABLE = BYTES * 20482;

/** Writes the tables, once for every memory. */
export function writeTables(buffer: ArrayBuffer): void {
  const doubles = new Float64Array(buffer);
  doubles.set(log2Table, LOG2_TABLE / BYTES);
  doubles.set(exp2Table, EXP2_TABLE / BYTES);
  doubles.set(tanhTable, TANH_TABLE / BYTES);
}
