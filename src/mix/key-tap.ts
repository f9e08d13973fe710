/**
 * Key tap: the signal of a strip, delayed to where the block that listens to it stands in time.
 * @module
 */
import { DelayLine } from '../core/delay-line.ts';
import { BLOCK, cutIntoPieces } from '../core/pieces.ts';

/** A delayed copy of a strip's channels, a chunk at a time. */
export class KeyTap {
  /** The copy; as long as a chunk. */
  readonly buffers: readonly Float64Array[];
  /** The same, piece by piece. */
  readonly pieces: readonly Float64Array[][];
  readonly #from: readonly Float64Array[];
  readonly #lines: readonly DelayLine[];
  readonly #delaySamples: number;
  readonly #piece = new Float64Array(BLOCK);

  constructor(from: readonly Float64Array[], delaySamples: number) {
    this.#from = from;
    this.#delaySamples = delaySamples;
    this.#lines = from.map(() => new DelayLine(delaySamples));
    this.buffers = from.map((x) => new Float64Array(x.length));
    this.pieces = cutIntoPieces(this.buffers);
  }

  /** Takes over the first `frames` of the strip's chunk. */
  take(frames: number): void {
    const piece = this.#piece;
    for (let c = 0; c < this.buffers.length; c++) {
      const x = this.#from[c],
        y = this.buffers[c],
        line = this.#lines[c];
      for (let at = 0; at < frames; at += BLOCK) {
        const count = Math.min(BLOCK, frames - at);
        for (let i = 0; i < count; i++) piece[i] = x[at + i];
        line.write(piece, count);
        line.read(piece, count, this.#delaySamples);
        for (let i = 0; i < count; i++) y[at + i] = piece[i];
      }
    }
  }
}
