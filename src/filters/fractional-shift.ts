/**
 * Fractional shift: moves a recording, of which any stretch can be read, by samples and a fraction; later or earlier.
 *
 *     y[n] = x(n - D),    D = whole + fraction,    0 <= fraction < 1
 *
 * What `FractionalDelay` does to a stream, with the same kernel and the same bits, but without latency: what the kernel
 * needs of the time after is read ahead.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { convolve } from './convolve.ts';
import { FRACTIONAL_LATENCY_SAMPLES, FRACTIONAL_TAPS, fractionalKernel, tuneTaps } from './fractional-kernel.ts';

/** Farthest shift: more than any room is wide, and far below where a sum of positions would lose its fraction. */
export const MAX_SHIFT_SAMPLES = 4_000_000;

/** A shift by a fixed delay. */
export class FractionalShift {
  /** Whole part of the delay: the largest whole number that is not above it. */
  readonly wholeSamples: number;
  /** Samples that an output needs before x[n - whole]; 0 for a whole delay. */
  readonly beforeSamples: number;
  /** Samples that an output needs after x[n - whole]; 0 for a whole delay. */
  readonly afterSamples: number;
  readonly #taps: Float64Array | undefined;

  /** @param delaySamples - -4e6 to 4e6; positive: later */
  constructor(delaySamples: number) {
    requireRange('FractionalShift: delaySamples', delaySamples, -MAX_SHIFT_SAMPLES, MAX_SHIFT_SAMPLES);
    const whole = Math.floor(delaySamples);
    this.wholeSamples = whole;
    if (delaySamples !== whole) {
      this.#taps = new Float64Array(FRACTIONAL_TAPS);
      tuneTaps(fractionalKernel(), delaySamples - whole, this.#taps);
    }
    this.beforeSamples = this.#taps ? FRACTIONAL_TAPS / 2 : 0;
    this.afterSamples = this.#taps ? FRACTIONAL_LATENCY_SAMPLES : 0;
  }

  /**
   * Fills `y[0 .. count)`. A whole delay is exact to the bit.
   *
   * @param window - x from `wholeSamples + beforeSamples` before the first output on: `beforeSamples + afterSamples` more
   *   than `count`
   */
  run(window: Float64Array, y: Float64Array, count: number): void {
    if (this.#taps) convolve(window, this.#taps, count, y);
    else for (let i = 0; i < count; i++) y[i] = window[i];
  }
}
