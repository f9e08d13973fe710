/**
 * What a clipper has to know of its curve - the curve itself, its antiderivatives, where it has a corner - and what a way
 * to run it is.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import type { CurveInPlace, SimdKernels } from '../core/simd-kernels.ts';

/** A curve f, odd and rising, with all that the ways to run it ask for. */
export interface ClippingCurve {
  /** What the SIMD kernels call it. */
  readonly name: keyof SimdKernels['curves'];
  /** The plain loop. */
  readonly inPlace: CurveInPlace;
  /** Makes the function that fills in f and its antiderivatives, which may need a table of its own. */
  readonly integrals: () => CurveIntegrals;
  /** Where the curve ends, at `at` and `-at`; undefined for a smooth curve. */
  readonly corner?: Corner;
}

/**
 * Fills `f`, `first` and `second` with the curve at `u[0 .. count)`, its antiderivative and the antiderivative of that,
 * both 0 at u = 0.
 */
export type CurveIntegrals = (
  u: Float64Array,
  count: number,
  f: Float64Array,
  first: Float64Array,
  second: Float64Array,
) => void;

/** A place where a derivative of a curve jumps. */
export interface Corner {
  /** Above 0. */
  readonly at: number;
  /** Which derivative jumps: the slope (1) or the curvature (2). */
  readonly order: 1 | 2;
  /** By how much it jumps where u rises through `at`. */
  readonly jump: number;
}

/** One channel's way through a curve. */
export interface Shaping extends Part {
  /** Samples of the high rate by which the way is late; whole. */
  readonly latencySamples: number;
  /** y = c f(g y) in place, late; `k` begins with g and c. */
  run(y: Float64Array, count: number, k: Float64Array): void;
}
