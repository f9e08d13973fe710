/**
 * A compressor's gains in WebAssembly, and with them the whole of a compressor that hears nothing but its own channels. Rows
 * are copied there and back, as the state of the smoothers is.
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { SimdCompressor } from '../core/simd-kernels.ts';
import type { SimdExports } from './simd-stages.ts';
import { CONSTANTS, EXP2_TABLE, LOG2_TABLE, ROW, ROWS } from './simd-tables.ts';

/** Where the state stands, behind the constants of a compressor. */
const STATE = 11;
const MOST_CHANNELS = 64;
const ROW_BYTES = 8 * BLOCK;

/** The compressor of `SimdKernels`. */
export function simdCompressor(exports: SimdExports): SimdCompressor {
  const { buffer } = exports.memory;
  const rowThere = new Float64Array(buffer, ROW, BLOCK),
    kThere = new Float64Array(buffer, CONSTANTS, STATE + 2),
    rowsThere = Array.from({ length: MOST_CHANNELS }, (_, c) => new Float64Array(buffer, ROWS + c * ROW_BYTES, BLOCK));
  const prepare = (k: Float64Array, state: Float64Array): void => {
    for (let i = 0; i < STATE; i++) kThere[i] = k[i];
    for (let i = 0; i < state.length; i++) kThere[STATE + i] = state[i];
  };
  const takeState = (state: Float64Array): void => {
    for (let i = 0; i < state.length; i++) state[i] = kThere[STATE + i];
  };
  return {
    gains: (row, k, state) => {
      prepare(k, state);
      rowThere.set(row);
      exports.compressorGains(ROW, BLOCK, CONSTANTS, LOG2_TABLE, EXP2_TABLE);
      row.set(rowThere);
      takeState(state);
    },
    process: (x, k, state) => {
      prepare(k, state);
      for (let c = 0; c < x.length; c++) rowsThere[c].set(x[c]);
      exports.compress(ROWS, x.length, ROW, BLOCK, CONSTANTS, LOG2_TABLE, EXP2_TABLE);
      for (let c = 0; c < x.length; c++) x[c].set(rowsThere[c]);
      takeState(state);
    },
  };
}
