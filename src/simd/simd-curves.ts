/**
 * Clipping curves in WebAssembly, for samples that lie in its memory already.
 *
 * @module
 */
import type { SimdKernels } from '../core/simd-kernels.ts';
import type { SimdExports } from './simd-stages.ts';
import { CONSTANTS, TANH_TABLE } from './simd-tables.ts';

/** The curves of `SimdKernels`. */
export function simdCurves(exports: SimdExports): SimdKernels['curves'] {
  const kThere = new Float64Array(exports.memory.buffer, CONSTANTS, 2);
  const prepare = (k: Float64Array): void => {
    kThere[0] = k[0];
    kThere[1] = k[1];
  };
  return {
    hard: (y, count, k) => {
      prepare(k);
      exports.hardClip(y.byteOffset, count, CONSTANTS);
    },
    cubic: (y, count, k) => {
      prepare(k);
      exports.cubicClip(y.byteOffset, count, CONSTANTS);
    },
    tanh: (y, count, k) => {
      prepare(k);
      exports.tanhClip(y.byteOffset, count, CONSTANTS, TANH_TABLE);
    },
  };
}
