/**
 * A compressor's gains in WebAssembly. A row is copied there and back, as the state of its smoothers is.
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { SimdKernels } from '../core/simd-kernels.ts';
import type { SimdExports } from './simd-stages.ts';
import { CONSTANTS, EXP2_TABLE, LOG2_TABLE, ROW } from './simd-tables.ts';

/** Where the state stands, behind the constants of a compressor. */
const STATE = 11;

/** `compress` of `SimdKernels`. */
export function simdCompressor(exports: SimdExports): SimdKernels['compress'] {
  const rowThere = new Float64Array(exports.memory.buffer, ROW, BLOCK),
    kThere = new Float64Array(exports.memory.buffer, CONSTANTS, STATE + 2);
  return (row, k, state) => {
    rowThere.set(row);
    for (let i = 0; i < STATE; i++) kThere[i] = k[i];
    kThere[STATE] = state[0];
    kThere[STATE + 1] = state[1];
    exports.compress(ROW, BLOCK, CONSTANTS, LOG2_TABLE, EXP2_TABLE);
    state[0] = kThere[STATE];
    state[1] = kThere[STATE + 1];
    row.set(rowThere);
  };
}
