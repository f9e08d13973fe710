/**
 * SIMD: kernels in WebAssembly that do the work of some blocks' plain loops faster, with the same bits.
 *
 * @module
 */
export { simdKernels } from './simd-kernels.ts';
