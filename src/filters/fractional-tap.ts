/**
 * Fractional tap: reads a delay line between its samples.
 *
 *     y[n] = sum over m of x[n - m] h(m - 47 - D),    m = floor(D) .. floor(D) + 95
 *
 * See `fractional-kernel.ts` for h.
 *
 * @module
 */
import type { DelayLine } from '../core/delay-line.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { convolve } from './convolve.ts';
import { FRACTIONAL_LATENCY_SAMPLES, FRACTIONAL_TAPS, fractionalKernel, tuneTaps } from './fractional-kernel.ts';

/** A place to read from, and the kernel that belongs to it. */
export class FractionalTap implements Part {
  readonly state: readonly Float64Array[];
  readonly #delay = new Float64Array(1);
  readonly #taps = new Float64Array(FRACTIONAL_TAPS);
  readonly #window = new Float64Array(FRACTIONAL_TAPS - 1 + BLOCK);
  readonly #h = fractionalKernel();

  constructor() {
    this.state = [this.#delay, this.#taps];
    this.reset();
  }

  /** The delay D, without the latency. */
  get delaySamples(): number {
    return this.#delay[0];
  }

  /** Back to a delay of 0. */
  reset(): void {
    this.tune(0);
  }

  /** Computes the kernel for a delay: for `set`, not for every sample. */
  tune(delaySamples: number): void {
    this.#delay[0] = delaySamples;
    tuneTaps(this.#h, delaySamples - Math.floor(delaySamples), this.#taps);
  }

  copy(tap: FractionalTap): void {
    this.#delay[0] = tap.#delay[0];
    this.#taps.set(tap.#taps);
  }

  /**
   * Fills `y[0 .. count)`, at most 128, for the last `count` samples written to `line`, which must hold 96 samples more
   * than the delay. A whole delay is read bit for bit.
   */
  read(line: DelayLine, y: Float64Array, count: number): void {
    const delay = this.#delay[0],
      whole = Math.floor(delay);
    if (delay === whole) return line.read(y, count, whole + FRACTIONAL_LATENCY_SAMPLES);
    line.read(this.#window, FRACTIONAL_TAPS - 1 + count, whole);
    convolve(this.#window, this.#taps, count, y);
  }
}
