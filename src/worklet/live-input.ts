/**
 * Live input: what comes in at an input of a node, kept for as long as somebody may read it.
 *
 *     quantum --> | ring of the last frames | <-- read at any position of it
 *
 * @module
 */
import type { MixInput } from '../mix/input-reader.ts';

/** An input without an end, of which only the last frames can be read. */
export class LiveInput implements MixInput {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly frames = Infinity;
  #rings: readonly Float64Array[];

  constructor(sampleRateHz: number, channels: number) {
    this.sampleRateHz = sampleRateHz;
    this.channels = channels;
    this.#rings = Array.from({ length: channels }, () => new Float64Array(1));
  }

  /** Makes room for `frames` frames, the newest included; what was there is lost. */
  keep(frames: number): void {
    let length = 1;
    while (length < frames) length *= 2;
    this.#rings = this.#rings.map(() => new Float64Array(length));
  }

  /**
   * Takes in `count` frames that stand at `position`.
   *
   * @param from - channels; those that are not there are silent
   * @param at - first frame in `from`
   */
  take(from: readonly Float32Array[], at: number, count: number, position: number): void {
    for (let c = 0; c < this.channels; c++) {
      const ring = this.#rings[c],
        mask = ring.length - 1;
      if (c < from.length) for (let i = 0; i < count; i++) ring[(position + i) & mask] = from[c][at + i];
      else for (let i = 0; i < count; i++) ring[(position + i) & mask] = 0;
    }
  }

  read(start: number, into: readonly Float64Array[], count: number): number {
    for (let c = 0; c < this.channels; c++) {
      const ring = this.#rings[c],
        mask = ring.length - 1,
        y = into[c];
      for (let i = 0; i < count; i++) y[i] = ring[(start + i) & mask];
    }
    return count;
  }
}
