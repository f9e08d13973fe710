/**
 * Sliding minimum over the last L + 1 samples, at a cost that does not depend on L.
 *
 *     m[n] = min(x[n - L] .. x[n])
 *
 * Time is cut into blocks of L + 1 samples. A window that ends inside a block is a tail of the block before and a head
 * of this one: the head's minimum is carried along; the minima of all tails are made, backward, when a block is full.
 *
 *     block before    . . [ tail . . . ]
 *     this block                       [ . head . ] . .
 *
 * Source: M. van Herk, "A fast algorithm for local minimum and maximum filters on rectangular and octagonal kernels",
 * Pattern Recognition Letters 13(7), 1992 (reference from memory).
 *
 * @module
 */
import type { Part } from './processor.ts';

/** Stands for the minimum of nothing. */
const ABOVE_ALL = 1e300;

/** Running minimum of a signal that begins as if all before it had been `rest`. */
export class SlidingMinimum implements Part {
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  readonly #rest: number;
  readonly #block: Float64Array;
  readonly #tails: Float64Array; // [j]: minimum of the block before, from j to its end
  readonly #scalars = new Float64Array(2); // position in the block; minimum of its head

  /** @param length - L: how many samples before the present one the window holds */
  constructor(length: number, rest: number) {
    this.#rest = rest;
    this.#block = new Float64Array(length + 1);
    this.#tails = new Float64Array(length + 2);
    this.state = [this.#block, this.#tails, this.#scalars];
    this.reset();
  }

  reset(): void {
    this.#block.fill(0);
    this.#tails.fill(this.#rest);
    this.#tails[this.#tails.length - 1] = ABOVE_ALL;
    this.#scalars[0] = 0;
    this.#scalars[1] = ABOVE_ALL;
  }

  /** Replaces `x[0 .. count)` by the running minimum. */
  process(x: Float64Array, count: number): void {
    const block = this.#block,
      tails = this.#tails;
    const last = block.length - 1,
      aboveAll = 1e300; // ABOVE_ALL itself would box each sample
    let position = this.#scalars[0] | 0,
      head = this.#scalars[1];

    for (let i = 0; i < count; i++) {
      const value = x[i];
      block[position] = value;
      if (value < head) head = value;
      const tail = tails[position + 1];
      x[i] = tail < head ? tail : head;
      if (position < last) {
        position++;
        continue;
      }
      let least = aboveAll;
      for (let j = last; j >= 0; j--) {
        if (block[j] < least) least = block[j];
        tails[j] = least;
      }
      position = 0;
      head = aboveAll;
    }

    this.#scalars[0] = position;
    this.#scalars[1] = head;
  }
}
