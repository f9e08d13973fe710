/**
 * Energy steps: the weighted power of a stream, summed over steps of 10 ms.
 *
 *     e[k] = sum over channels i of G_i sum over the samples of step k of y_i^2,     y = K-weighted x
 *
 * Every figure of loudness is a sum of some of these: 40 make the 400 ms window of momentary loudness, 300 the 3 s of
 * short-term loudness. Step k ends at sample round((k + 1) rate / 100), so that windows of whole seconds are exact at any
 * rate.
 *
 * @module
 */
import { BLOCK, load, scratch } from '../core/pieces.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';
import { BiquadKernel, writeSections } from '../filters/biquad-kernel.ts';
import { kWeighting } from './k-weighting.ts';

export const STEPS_PER_SECOND = 100;
/** Steps that are remembered: 3 s. */
export const LONGEST_WINDOW = 300;

/** The last 3 s of energies of a stream. */
export class EnergySteps {
  /** Steps finished. */
  steps = 0;
  readonly #sampleRateHz: number;
  readonly #weights: readonly number[];
  readonly #filter: BiquadKernel;
  readonly #x: Float64Array[];
  readonly #energies: Float64Array; // of each channel, in the step in progress
  readonly #ring = new Float64Array(LONGEST_WINDOW);
  #time = 0; // samples so far
  #stepEnd: number;

  constructor({ sampleRateHz, channels }: StreamFormat, weights: readonly number[]) {
    this.#sampleRateHz = sampleRateHz;
    this.#weights = weights;
    this.#filter = new BiquadKernel(2, channels);
    writeSections(this.#filter.coefficients, kWeighting(sampleRateHz));
    this.#x = scratch(channels);
    this.#energies = new Float64Array(channels);
    this.#stepEnd = this.#endOf(0);
  }

  reset(): void {
    this.steps = 0;
    this.#filter.reset();
    this.#energies.fill(0);
    this.#ring.fill(0);
    this.#time = 0;
    this.#stepEnd = this.#endOf(0);
  }

  /**
   * Takes in samples from `start` on, up to `end` at most, and stops where a step is finished. Returns where it stopped:
   * a step has been finished if `steps` has grown.
   */
  advance(channels: Channels, start: number, end: number): number {
    const offset = this.#time % BLOCK;
    if (offset === 0) this.#filter.flush();
    const count = Math.min(BLOCK - offset, end - start, this.#stepEnd - this.#time);
    for (let c = 0; c < this.#x.length; c++) load(channels[c], start, count, this.#x[c], false);
    this.#filter.run(this.#x, count);
    for (let c = 0; c < this.#x.length; c++) {
      const x = this.#x[c];
      let energy = this.#energies[c];
      for (let i = 0; i < count; i++) energy += x[i] * x[i];
      this.#energies[c] = energy;
    }
    this.#time += count;
    if (this.#time === this.#stepEnd) this.#finishStep();
    return start + count;
  }

  /**
   * Writes the mean power over `length` finished steps, of which the last one was finished `ago` steps ago, to `into[at]`.
   * (Handed back as a number it might be boxed.)
   */
  measure(length: number, ago: number, into: Float64Array, at: number): void {
    const last = this.steps - ago;
    let sum = 0;
    for (let k = last - length; k < last; k++) sum += this.#ring[k % LONGEST_WINDOW];
    into[at] = sum / (this.#endOf(last - 1) - this.#endOf(last - length - 1));
  }

  #finishStep(): void {
    let sum = 0;
    for (let c = 0; c < this.#energies.length; c++) sum += this.#weights[c] * this.#energies[c];
    this.#ring[this.steps % LONGEST_WINDOW] = sum;
    this.#energies.fill(0);
    this.steps++;
    this.#stepEnd = this.#endOf(this.steps);
  }

  #endOf(step: number): number {
    return Math.round(((step + 1) * this.#sampleRateHz) / STEPS_PER_SECOND);
  }
}
