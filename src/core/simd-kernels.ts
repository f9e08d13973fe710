/**
 * What a block may hand to WebAssembly, where it is there: see `src/simd/`. A block that finds these in its format uses them
 * in place of its own loops, with the same bits.
 *
 * @module
 */
import type { Part } from './part.ts';

/** One channel's way up to a multiple of its sample rate and back. */
export interface OversamplingStages extends Part {
  /**
   * Takes `x[0 .. count)`, at most 128 samples, up. Returns where the samples of the high rate are, for a kernel to change in
   * place before `down`; nothing else may be taken up in between.
   */
  up(x: Float64Array, count: number): Float64Array;
  /** Takes what `up` returned back, into `x[0 .. count)`. */
  down(x: Float64Array, count: number): void;
}

/** A clipping curve f: replaces y[0 .. count) by c f(g y); `k` begins with g and c. */
export type CurveInPlace = (y: Float64Array, count: number, k: Float64Array) => void;

/** What a compressor does with pieces of 128 samples. `k` are that block's constants, `state` is that of a row. */
export interface SimdCompressor {
  /** Turns a row of levels into gains, in place. */
  gains(row: Float64Array, k: Float64Array, state: Float64Array): void;
  /** Compresses channels by the magnitudes of the loudest of them, in place. */
  process(x: readonly Float64Array[], k: Float64Array, state: Float64Array): void;
}

/** Delays of a reverberation's channel, in samples. */
export interface TankDelays {
  /** Delays of combs that add and of combs that subtract, in turn; a multiple of four. */
  readonly combs: readonly number[];
  /** Delays of allpasses in the order in which a sound passes them. */
  readonly allpasses: readonly number[];
}

/** Combs side by side and allpasses in series: what reverberates a channel. */
export interface TankLoops extends Part {
  /**
   * Writes the reverberation of `x[0 .. count)`, at most 128 samples, to `y[0 .. count)`.
   *
   * @param k - from index `first` on: level, gains of the allpasses, gain and pole of every comb
   */
  process(x: Float64Array, y: Float64Array, count: number, k: Float64Array, first: number): void;
}

/** Tanks in a memory of their own, where they find what they hear and what they make without a copy. */
export interface TankMemory {
  /** Those of every channel. */
  readonly loops: readonly TankLoops[];
  /** Room for 128 samples that all tanks hear. */
  readonly feed: Float64Array;
  /** A row for every tank. */
  readonly rows: SimdRows;
}

/** Second-order sections in series on some channels; what they remember is where the plain kernel has it. */
export interface SectionRunner {
  /** Filters some of the first samples of `x[c][0 .. count)` in place, at most 128; returns how many. */
  run(x: readonly Float64Array[], count: number): number;
}

/** Rows of 128 samples that other kernels find without a copy: scratch, for a block that runs no other while it holds them. */
export interface SimdRows {
  /** One for every channel that there may be. */
  readonly rows: readonly Float64Array[];
  /** Writes 128 samples to a row; returns whether they are floats, and all of them such as a block takes. */
  load(channel: number, source: Float32Array | Float64Array): boolean;
  /** Rounds a row to 128 samples, if they are to be floats; returns whether they are. */
  store(channel: number, target: Float32Array | Float64Array): boolean;
}

/** Kernels that do two numbers at a time. All who share them work one after the other. */
export interface SimdKernels {
  /** Rows that the compressor and the sections find. */
  readonly rows: SimdRows;
  /**
   * Half-band stages, each doubling the rate of the one before, as those of `half-band.ts`.
   *
   * @param pairs - first half of each stage's taps that are neither 0 nor the middle one, from the base rate up
   * @param lateSamples - samples of the high rate by which the way down is delayed
   */
  oversampling(pairs: readonly Float64Array[], lateSamples: number): OversamplingStages;
  /** Clipping curves, for what `up` of the oversampling stages returned. */
  readonly curves: Readonly<Record<'hard' | 'cubic' | 'tanh', CurveInPlace>>;
  /** The gains of a compressor, or all of it. */
  readonly compressor: SimdCompressor;
  /**
   * Loops for every channel of a reverberation, as those of `plain-tank.ts`, in a memory of their own; undefined if there is
   * none left.
   */
  tanks(delays: readonly TankDelays[]): TankMemory | undefined;
  /**
   * Second-order sections in series, as those of `biquad-kernel.ts`; undefined if they are too few or too many.
   *
   * @param numbers - b0 b1 b2 a1 a2 of each section, looked at whenever they run; then of every channel
   *   x[n-1] x[n-2] y[n-1] y[n-2] of each section, kept up to date
   */
  sections(sections: number, numbers: Float64Array): SectionRunner | undefined;
}
