/**
 * Hit key tap: the key of a drum's hits, at the time of the block that listens to it.
 * @module
 */
import { cutIntoPieces } from '../core/pieces.ts';
import type { HitKey } from '../hits/hit-key.ts';

/** A key made from hits, a chunk at a time. */
export class HitKeyTap {
  /** The key; as long as a chunk. */
  readonly buffers: readonly Float64Array[];
  /** The same, piece by piece. */
  readonly pieces: readonly Float64Array[][];
  readonly #key: HitKey;
  #position: number;

  /** @param delaySamples - how much later than the recording the block stands */
  constructor(key: HitKey, delaySamples: number, chunkFrames: number) {
    this.buffers = [new Float64Array(chunkFrames)];
    this.pieces = cutIntoPieces(this.buffers);
    this.#key = key;
    this.#position = -delaySamples;
  }

  /** Makes the next `frames`. */
  take(frames: number): void {
    this.#key.read(this.#position, this.buffers[0], frames);
    this.#position += frames;
  }
}
