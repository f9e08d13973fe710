/**
 * Half-band stages one above the other, each at twice the rate of the one below.
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { OversamplingStages } from '../core/simd-kernels.ts';
import { DownStage, LANES, UpStage } from './half-band.ts';

/** One channel's way up and down, in plain loops. */
export class HalfBandStages implements OversamplingStages {
  readonly state: readonly Float64Array[];
  readonly #ups: readonly UpStage[];
  readonly #downs: readonly DownStage[];
  readonly #buffers: readonly Float64Array[]; // of each rate, from twice the base rate up

  /**
   * @param pairs - first half of each stage's taps, from the base rate up
   * @param lateSamples - samples of the highest rate by which the way down is delayed
   */
  constructor(pairs: readonly Float64Array[], lateSamples: number) {
    const last = pairs.length - 1;
    this.#ups = pairs.map((taps, s) => new UpStage(taps, BLOCK << s));
    this.#downs = pairs.map((taps, s) => new DownStage(taps, BLOCK << s, s === last ? lateSamples : 0));
    this.#buffers = pairs.map((_, s) => new Float64Array((BLOCK << (s + 1)) + 2 * LANES));
    this.state = [...this.#ups, ...this.#downs].flatMap((part) => part.state);
  }

  reset(): void {
    for (const part of [...this.#ups, ...this.#downs]) part.reset();
  }

  /** Without a stage the samples stay where they are. */
  up(x: Float64Array, count: number): Float64Array {
    let from = x;
    for (let s = 0; s < this.#ups.length; s++) {
      this.#ups[s].process(from, count << s, this.#buffers[s]);
      from = this.#buffers[s];
    }
    return from;
  }

  down(x: Float64Array, count: number): void {
    for (let s = this.#downs.length - 1; s >= 0; s--) {
      this.#downs[s].process(this.#buffers[s], count << s, s === 0 ? x : this.#buffers[s - 1]);
    }
  }
}
