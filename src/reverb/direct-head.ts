/**
 * Direct convolution with a short response, for the part of a long one that cannot wait for a transform.
 *
 *     y[n] += sum over k of h[k] x[n - k],    0 <= k < taps
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';

/** Past of one channel, through any number of responses of one length. */
export class DirectHead implements Part {
  readonly state: readonly Float64Array[];
  readonly #window: Float64Array; // the last taps - 1 samples, then the present piece
  readonly #past: number;

  constructor(taps: number) {
    this.#past = taps - 1;
    this.#window = new Float64Array(this.#past + BLOCK);
    this.state = [this.#window];
  }

  reset(): void {
    this.#window.fill(0);
  }

  /** Takes the present piece, at most 128 samples; `addTo` then works on it. */
  take(x: Float64Array, count: number): void {
    const window = this.#window,
      past = this.#past;
    for (let i = 0; i < count; i++) window[past + i] = x[i];
  }

  /** Adds the piece through `response`, whose length is a multiple of 4, to `y[0 .. count)`. */
  addTo(y: Float64Array, count: number, response: Float64Array): void {
    const window = this.#window,
      past = this.#past;
    for (let k = 0; k < response.length; k += 4) {
      const h0 = response[k],
        h1 = response[k + 1],
        h2 = response[k + 2],
        h3 = response[k + 3];
      for (let i = 0, at = past - k; i < count; i++, at++) {
        y[i] += h0 * window[at] + h1 * window[at - 1] + (h2 * window[at - 2] + h3 * window[at - 3]);
      }
    }
  }

  /** The piece becomes past. */
  moveOn(count: number): void {
    this.#window.copyWithin(0, count, count + this.#past);
  }
}
