/**
 * Oversampler: takes a channel to 2, 4, 8 or 16 times its sample rate and back, so that what a nonlinear kernel adds
 * above the band is removed instead of folding back into it.
 *
 *     x -> up 2 -> up 2 -> ... -> kernel -> delay -> ... -> down 2 -> down 2 -> y
 *
 * Linear phase throughout. Within the band (to 20/48 of the base rate) the way up and down is flat within 0.01 dB; from
 * 28/48 on, images and what the kernel added are at least 100 dB down. What lies between passes in part: a sound there is
 * above 20 kHz at 48 kHz. The delay at the highest rate makes the latency a whole number of samples.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import type { OversamplingStages, SimdKernels } from '../core/simd-kernels.ts';
import { halfBandPairs } from './half-band.ts';
import { HalfBandStages } from './half-band-stages.ts';
import { kaiserBeta } from './kaiser-design.ts';

/** How many times the base rate a kernel runs at. */
export type OversamplingFactor = 1 | 2 | 4 | 8 | 16;

/** Attenuation that the windows are made for, in dB: 100 with a margin for the estimate's error. */
const ATTENUATION_DB = 106;
/**
 * Lengths of the half-bands from the base rate up. The first must fall from 20/48 to 28/48 of the base rate; what it lets
 * through of the band between is the reason why the second must stop from 1 + 20/48 on, the third from 3 + 20/48 and so
 * on. From the Kaiser estimate, rounded up to 4k - 1; all measure 102 dB or more.
 */
const LENGTHS = [83, 35, 23, 19];

/** One channel's way up and down. */
export class Oversampler implements Part {
  /** Samples of the base rate by which up, kernel and down together are late. */
  readonly latencySamples: number;
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  readonly #stages: OversamplingStages;

  /**
   * @param kernelLatencySamples - samples of the high rate by which the kernel in between is late; whole
   * @param simd - does the stages' work, if given; with the same bits
   */
  constructor(factor: OversamplingFactor, kernelLatencySamples = 0, simd?: SimdKernels) {
    const lengths = LENGTHS.slice(0, stagesOf(factor));
    const pairs = lengths.map((length) => halfBandPairs(length, kaiserBeta(ATTENUATION_DB)));
    // A pair of stages is late by (length - 1) / 2 samples of its lower rate: so many of the highest rate.
    const late = lengths.reduce((sum, length, s) => sum + ((length - 1) / 2) * (factor >> s), kernelLatencySamples);
    this.latencySamples = Math.ceil(late / factor);
    const padSamples = this.latencySamples * factor - late;
    this.#stages = simd && factor > 1 ? simd.oversampling(pairs, padSamples) : new HalfBandStages(pairs, padSamples);
    this.state = this.#stages.state;
  }

  reset(): void {
    this.#stages.reset();
  }

  /**
   * Takes `x[0 .. count)`, at most 128 samples, to the high rate. Returns where the `count` times factor samples are, for
   * a kernel to change in place before `down`.
   */
  up(x: Float64Array, count: number): Float64Array {
    return this.#stages.up(x, count);
  }

  /** Takes what `up` returned back to the base rate, into `x[0 .. count)`. */
  down(x: Float64Array, count: number): void {
    this.#stages.down(x, count);
  }
}

function stagesOf(factor: OversamplingFactor): number {
  const stages = [1, 2, 4, 8, 16].indexOf(factor);
  if (stages < 0) throw new RangeError(`Oversampler: factor must be 1, 2, 4, 8 or 16, got ${String(factor)}`);
  return stages;
}
