/**
 * Moving sum of the last N samples: y[n] = x[n] + x[n-1] + ... + x[n-N+1].
 *
 * One addition and one subtraction per sample, whatever N. For whole numbers whose sums stay below 2^53 every operation
 * is exact, so that nothing drifts: the sum of N equal numbers is N times that number, for ever.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';

/** Moving sum of whole numbers, begun as if all before had been `rest`. */
export class BoxSum implements Part {
  readonly state: readonly Float64Array[];
  readonly #rest: number;
  readonly #ring: Float64Array;
  readonly #scalars = new Float64Array(2); // oldest sample's place in the ring; sum of the ring

  /** @param length - N, 1 or more */
  constructor(length: number, rest: number) {
    this.#rest = rest;
    this.#ring = new Float64Array(length);
    this.state = [this.#ring, this.#scalars];
    this.reset();
  }

  reset(): void {
    this.#ring.fill(this.#rest);
    this.#scalars[0] = 0;
    this.#scalars[1] = this.#rest * this.#ring.length;
  }

  /** Replaces `x[0 .. count)` by the moving sum. */
  process(x: Float64Array, count: number): void {
    const ring = this.#ring;
    let oldest = this.#scalars[0],
      sum = this.#scalars[1];
    for (let i = 0; i < count; i++) {
      const value = x[i];
      sum += value - ring[oldest];
      ring[oldest] = value;
      if (++oldest === ring.length) oldest = 0;
      x[i] = sum;
    }
    this.#scalars[0] = oldest;
    this.#scalars[1] = sum;
  }
}
