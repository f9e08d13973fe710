/**
 * The SIMD kernels, where the engine has WebAssembly with vectors and lets it be compiled.
 *
 * The module, a few kB, is part of the code (`module-text.ts`, made from `simd/` by `npm run build:simd`), and is
 * compiled at once: no file is fetched and nothing is awaited, in pages, workers, worklets and Node alike.
 *
 * @module
 */
import type { SimdKernels } from '../core/simd-kernels.ts';
import { decodeBase64 } from './decode-base64.ts';
import { MODULE_TEXT } from './module-text.ts';
import { simdCompressor } from './simd-compressor.ts';
import { simdCurves } from './simd-curves.ts';
import { isWorthIt, SimdSections } from './simd-sections.ts';
import { simdRows } from './simd-rows.ts';
import { type SimdExports, SimdStages } from './simd-stages.ts';
import { PAGES, ROOM_OF_ROWS, writeTables } from './simd-tables.ts';
import { simdTanks } from './simd-tanks.ts';

const MOST_CHANNELS = 64;

let ofThisThread: { readonly kernels: SimdKernels | undefined } | undefined;

/**
 * The kernels of this thread, made at the first call, for the `simd` of a format:
 * `new SoftClipper({ sampleRateHz, channels, simd: simdKernels() })`. All blocks of a thread share them, and 384 kB of memory;
 * a Schroeder reverb has a memory of its own besides.
 *
 * @returns undefined where WebAssembly, its vectors or its compilation are not to be had: blocks then run their plain loops,
 *   with the same bits
 */
export function simdKernels(): SimdKernels | undefined {
  ofThisThread ??= { kernels: makeKernels() };
  return ofThisThread.kernels;
}

/** Compiles the module anew. */
export function makeKernels(): SimdKernels | undefined {
  try {
    const module = new WebAssembly.Module(decodeBase64(MODULE_TEXT));
    const exports = new WebAssembly.Instance(module).exports as unknown as SimdExports;
    exports.memory.grow(PAGES - 1);
    writeTables(exports.memory.buffer);
    const rows = simdRows(exports, ROOM_OF_ROWS, MOST_CHANNELS);
    return {
      rows,
      oversampling: (pairs, lateSamples) => new SimdStages(exports, pairs, lateSamples),
      curves: simdCurves(exports),
      compressor: simdCompressor(exports, rows.rows),
      tanks: (delays) => simdTanks(module, delays),
      sections: (sections, numbers) =>
        isWorthIt(sections, numbers) ? new SimdSections(exports, rows.rows, sections, numbers) : undefined,
    };
  } catch {
    return undefined; // an engine without vectors, or a page that forbids to compile
  }
}
