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
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { DownStage, halfBandPairs, LANES, UpStage } from './half-band.ts';
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
  readonly #ups: readonly UpStage[];
  readonly #downs: readonly DownStage[];
  readonly #buffers: readonly Float64Array[]; // of each rate, from twice the base rate up

  /** @param kernelLatencySamples - samples of the high rate by which the kernel in between is late; whole */
  constructor(factor: OversamplingFactor, kernelLatencySamples = 0) {
    const lengths = LENGTHS.slice(0, stagesOf(factor));
    const pairs = lengths.map((length) => halfBandPairs(length, kaiserBeta(ATTENUATION_DB)));
    // A pair of stages is late by (length - 1) / 2 samples of its lower rate: so many of the highest rate.
    const late = lengths.reduce((sum, length, s) => sum + ((length - 1) / 2) * (factor >> s), kernelLatencySamples);
    this.latencySamples = Math.ceil(late / factor);
    const padSamples = this.latencySamples * factor - late;
    const last = pairs.length - 1;
    this.#ups = pairs.map((taps, s) => new UpStage(taps, BLOCK << s));
    this.#downs = pairs.map((taps, s) => new DownStage(taps, BLOCK << s, s === last ? padSamples : 0));
    this.#buffers = pairs.map((_, s) => new Float64Array((BLOCK << (s + 1)) + 2 * LANES));
    this.state = [...this.#ups, ...this.#downs].flatMap((part) => part.state);
  }

  reset(): void {
    for (const part of [...this.#ups, ...this.#downs]) part.reset();
  }

  /**
   * Takes `x[0 .. count)`, at most 128 samples, to the high rate. Returns where the `count` times factor samples are, for
   * a kernel to change in place before `down`.
   */
  up(x: Float64Array, count: number): Float64Array {
    let from = x;
    for (let s = 0; s < this.#ups.length; s++) {
      this.#ups[s].process(from, count << s, this.#buffers[s]);
      from = this.#buffers[s];
    }
    return from;
  }

  /** Takes what `up` returned back to the base rate, into `x[0 .. count)`. */
  down(x: Float64Array, count: number): void {
    for (let s = this.#downs.length - 1; s >= 0; s--) {
      this.#downs[s].process(this.#buffers[s], count << s, s === 0 ? x : this.#buffers[s - 1]);
    }
  }
}

function stagesOf(factor: OversamplingFactor): number {
  const stages = [1, 2, 4, 8, 16].indexOf(factor);
  if (stages < 0) throw new RangeError(`Oversampler: factor must be 1, 2, 4, 8 or 16, got ${String(factor)}`);
  return stages;
}
