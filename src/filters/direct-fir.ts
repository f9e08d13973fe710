/**
 * Direct FIR: a short filter, tap by tap.
 *
 *     y[n] = sum over j of taps[j] x[n - (L - 1) + j],    j = 0 .. L - 1
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import { convolve } from './convolve.ts';

/** One channel through a filter of finite length. */
export class DirectFir implements Part {
  readonly state: readonly Float64Array[];
  readonly #taps: Float64Array;
  readonly #past: Float64Array;
  readonly #window: Float64Array;

  /**
   * @param taps - from the oldest sample to the newest
   * @param longest - samples that one call may bring
   */
  constructor(taps: Float64Array, longest: number) {
    this.#taps = taps;
    this.#past = new Float64Array(taps.length - 1);
    this.#window = new Float64Array(taps.length - 1 + longest);
    this.state = [this.#past];
  }

  reset(): void {
    this.#past.fill(0);
  }

  /** Filters `y[0 .. count)` in place. */
  run(y: Float64Array, count: number): void {
    const past = this.#past,
      window = this.#window,
      length = past.length;
    for (let i = 0; i < length; i++) window[i] = past[i];
    for (let i = 0; i < count; i++) window[length + i] = y[i];
    for (let i = 0; i < length; i++) past[i] = window[count + i];
    convolve(window, this.#taps, count, y);
  }
}
