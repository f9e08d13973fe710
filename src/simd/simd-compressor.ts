/**
 * A compressor's gains in WebAssembly, and with them the whole of a compressor that hears nothing but its own channels. Rows
 * that lie elsewhere are copied there and back, as the state of the smoothers is.
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { SimdCompressor } from '../core/simd-kernels.ts';
import { ROW_BYTES } from './simd-rows.ts';
import type { SimdExports } from './simd-stages.ts';
import { CONSTANTS, EXP2_TABLE, LOG2_TABLE, ROW, ROWS } from './simd-tables.ts';

/** Where the state stands, behind the constants of a compressor. */
const STATE = 11;

/** The compressor of `SimdKernels`, where `rows` are those of the memory. */
export function simdCompressor(exports: SimdExports, rows: readonly Float64Array[]): SimdCompressor {
  const { buffer } = exports.memory;
  const rowThere = new Float64Array(buffer, ROW, BLOCK),
    kThere = new Float64Array(buffer, CONSTANTS, STATE + 2);
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
      for (let c = 0; c < x.length; c++) if (x[c] !== rows[c]) rows[c].set(x[c]);
      exports.compress(ROWS, ROW_BYTES, x.length, ROW, BLOCK, CONSTANTS, LOG2_TABLE, EXP2_TABLE);
      for (let c = 0; c < x.length; c++) if (x[c] !== rows[c]) x[c].set(rows[c]);
      takeState(state);
    },
  };
}
