/**
 * Key input: brings the signal that a block listens to into Float64 scratch, guarded as the input is.
 *
 * @module
 */
import { refuse } from './check.ts';
import { load, requireShape, scratch } from './pieces.ts';
import type { Channels } from './processor.ts';

/** Most channels that a key may have. */
export const MOST_KEY_CHANNELS = 64;

/** Scratch for a key. */
export class KeyInput {
  /** The channels of the key that `expect` was told of: the piece loaded last stands at their front. */
  rows: Float64Array[] = [];
  readonly #all: Float64Array[] = [];

  /**
   * Throws unless the key has arrays of this length, and makes room for it: the first key with more channels than any
   * before costs memory.
   */
  expect(owner: string, key: Channels, length: number): void {
    if (key.length > MOST_KEY_CHANNELS) refuse(`${owner}: key`, `at most ${MOST_KEY_CHANNELS} channels`, key.length);
    requireShape(owner, 'key', key, key.length, length);
    this.makeRoom(key.length);
  }

  /** Makes `rows` have so many channels. */
  makeRoom(channels: number): void {
    if (this.rows.length !== channels) this.rows = scratch(channels, this.#all).slice(0, channels);
  }

  /** Loads `key[c][at .. at + count)` into the front of the rows; returns how many samples the guard refused. */
  load(key: Channels, at: number, count: number, trusted: boolean): number {
    let refused = 0;
    for (let c = 0; c < this.rows.length; c++) refused += load(key[c], at, count, this.rows[c], trusted);
    return refused;
  }
}
