/**
 * Reads a plan's input: the wanted channels of a re-readable source, silence before its start and after its end.
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
import { INPUT_LIMIT } from '../core/pieces.ts';

/** A recording that can be read at any position, again and again. A WAV reader is one. */
export interface MixInput {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly frames: number;
  /** Fills `into` (an array per channel) from frame `start` on; returns how many frames it wrote. */
  read(start: number, into: Float64Array[], count: number): number;
}

/** Most channels that a source can have: a buffer is held for each. */
const MAX_CHANNELS = 64;

/** The part of a source that a channel strip hears. */
export class InputReader {
  readonly channels: number;
  readonly frames: number;
  /** Samples so far that were not finite or above 1e6 and counted as 0. */
  nonFinite = 0;
  readonly #source: MixInput;
  readonly #buffers: Float64Array[];
  readonly #wanted: readonly number[];

  /**
   * @param path - of the input in the plan, for messages
   * @param channel - one channel of the source; all of them if undefined
   * @param most - how many channels the reader can hear
   * @throws RangeError if the source lacks the channel, has more than 64, or more than `most` of which none is named
   */
  constructor(path: string, source: MixInput, channel: number | undefined, chunkFrames: number, most = 2) {
    if (channel === undefined)
      requireRange(`${path}: channels of the file (name one with "channel")`, source.channels, 1, most);
    requireInteger(`${path}: channels of the file`, source.channels, 1, MAX_CHANNELS);
    if (channel !== undefined) requireInteger(`${path}.channel`, channel, 0, source.channels - 1);
    this.#source = source;
    this.#buffers = Array.from({ length: source.channels }, () => new Float64Array(chunkFrames));
    this.#wanted = channel === undefined ? this.#buffers.map((_, c) => c) : [channel];
    this.channels = this.#wanted.length;
    this.frames = source.frames;
  }

  /** Fills `into[c][0 .. count)` with the frames from `start` on, which may lie before the first or after the last. */
  read(start: number, into: readonly Float64Array[], count: number): void {
    const before = Math.min(count, Math.max(0, -start));
    const there = Math.max(0, Math.min(count - before, this.frames - (start + before)));
    const got = there === 0 ? 0 : this.#source.read(start + before, this.#buffers, there);
    for (let c = 0; c < into.length; c++) {
      const x = this.#buffers[this.#wanted[c]],
        y = into[c];
      y.fill(0, 0, count);
      for (let i = 0; i < got; i++) {
        if (Math.abs(x[i]) <= INPUT_LIMIT) y[before + i] = x[i];
        else this.nonFinite++;
      }
    }
  }
}
