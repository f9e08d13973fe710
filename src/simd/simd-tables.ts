/**
 * The tables of the fast functions of `src/core/maths.ts`, in the module's memory behind its scratch, and the scratch of who
 * uses them. In doubles from the start of the memory:
 *
 *     row        of levels or gains       at      0      free, as the next two are, unless half-bands are at work
 *     constants  of a call                     2 048     free between the way up and the way down, too
 *     rows       of up to 64 channels          4 096
 *     tables     log2, 2^x, tanh              16 384  18 433  20 482
 *
 * @module
 */
import { exp2Table, log2Table, tanhTable } from '../core/maths.ts';

const BYTES = 8;

/** Addresses in bytes. */
export const CONSTANTS = BYTES * 2048;
export const ROW = 0;
export const ROWS = BYTES * 4096;
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
