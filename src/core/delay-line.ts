/**
 * Delay line: a ring that takes a piece of samples and gives back the piece of any while ago.
 *
 *     y[n] = x[n - delay],    0 <= delay <= maximum
 *
 * A piece is one contiguous run of the ring, or two: the second from its begin. No mask or modulo per sample.
 *
 * @module
 */
import { copy } from './copy.ts';
import { BLOCK } from './pieces.ts';
import type { Part } from './processor.ts';

/** Ring of past samples. Pieces have at most 128 samples. */
export class DelayLine implements Part {
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  readonly #ring: Float64Array;
  readonly #head = new Float64Array(1); // where the next piece goes

  /** @param maximumSamples - longest delay that `read` will be asked for, in whole samples */
  constructor(maximumSamples: number) {
    this.#ring = new Float64Array(maximumSamples + BLOCK);
    this.state = [this.#ring, this.#head];
  }

  reset(): void {
    this.#ring.fill(0);
    this.#head[0] = 0;
  }

  /** Appends `x[0 .. count)`. */
  write(x: Float64Array, count: number): void {
    const ring = this.#ring;
    const head = this.#head[0] | 0; // an integer for the engine: a double for an index is slow
    const run = Math.min(count, ring.length - head);
    copy(x, 0, ring, head, run);
    if (run < count) copy(x, run, ring, 0, count - run);
    this.#head[0] = (head + count) % ring.length;
  }

  /** Fills `y[0 .. count)` with what was written `delaySamples` before the last `count` samples. */
  read(y: Float64Array, count: number, delaySamples: number): void {
    const ring = this.#ring;
    const tail = (((this.#head[0] | 0) - count - delaySamples + ring.length) | 0) % ring.length;
    const run = Math.min(count, ring.length - tail);
    copy(ring, tail, y, 0, run);
    if (run < count) copy(ring, 0, y, run, count - run);
  }
}
