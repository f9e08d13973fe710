/**
 * Key input: brings the signal that a block listens to into Float64 scratch, guarded as the input is.
 *
 * A key with another number of channels than the block tells apart counts as one channel, its loudest sample.
 *
 * @module
 */
import { BLOCK, load, scratch } from './pieces.ts';
import type { Channels } from './processor.ts';

/** Scratch for a key. */
export class KeyInput {
  /** The channels of the piece loaded last: all that are told apart, or one. */
  rows: Float64Array[];
  readonly #all: Float64Array[];
  readonly #one: Float64Array[];
  readonly #other = new Float64Array(BLOCK);

  constructor(channels: number) {
    this.#all = scratch(channels);
    this.#one = this.#all.slice(0, 1);
    this.rows = this.#all;
  }

  /** Loads `key[c][at .. at + count)` into the front of `rows`; returns how many samples the guard refused. */
  load(key: Channels, at: number, count: number, trusted: boolean): number {
    const all = this.#all,
      loudest = all[0],
      other = this.#other,
      apart = key.length === all.length;
    let refused = 0;
    for (let c = 0; c < key.length; c++) {
      refused += load(key[c], at, count, apart ? all[c] : c === 0 ? loudest : other, trusted);
      if (apart || c === 0) continue;
      for (let i = 0; i < count; i++) if (Math.abs(other[i]) > Math.abs(loudest[i])) loudest[i] = other[i];
    }
    this.rows = apart ? all : this.#one;
    return refused;
  }
}
