/**
 * Reads a plan's input: the wanted channels of a re-readable source, silence before its start and after its end.
 *
 * Its move of the alignment costs no latency: what a fraction of a sample needs of the time after is read ahead.
 *
 * @module
 */
import type { AlignmentMove } from '../alignment/kit-alignment.ts';
import { NO_MOVE } from '../alignment/moves.ts';
import { requireInteger, requireRange } from '../core/check.ts';
import { INPUT_LIMIT } from '../core/pieces.ts';
import { FractionalShift } from '../filters/fractional-shift.ts';

/** A recording that can be read at any position, again and again. A WAV reader is one. */
export interface MixInput {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Channels, 1 or more. */
  readonly channels: number;
  /** Samples per channel. */
  readonly frames: number;
  /** Fills `into` (an array per channel) from frame `start` on; returns how many frames it wrote. */
  read(start: number, into: Float64Array[], count: number): number;
}

/** How an input is read. */
export interface ReadingOptions {
  /** How many channels the reader can hear; 2 unless given. */
  readonly most?: number;
  /** What the alignment does to it. */
  readonly move?: AlignmentMove;
  /** Frames by which all inputs are late, besides their own moves. */
  readonly leadSamples?: number;
}

/** Most channels that a source can have: a buffer is held for each. */
const MAX_CHANNELS = 64;

/** The part of a source that a channel strip hears, moved in time and turned. */
export class InputReader {
  /** Channels, 1 or more. */
  readonly channels: number;
  /** Frames from the first to the last that can be heard, lead included. */
  readonly frames: number;
  /** Samples so far that were not finite or above 1e6 and counted as 0. */
  nonFinite = 0;
  readonly #source: MixInput;
  readonly #buffers: Float64Array[];
  readonly #windows: Float64Array[];
  readonly #wanted: readonly number[];
  readonly #shift: FractionalShift;
  readonly #offset: number; // frames by which the window begins before what it is read for
  readonly #inverted: boolean;
  #checkedTo = 0; // windows overlap, but every sample counts once

  /**
   * @param path - of the input in the plan, for messages
   * @param channel - one channel of the source; all of them if undefined
   * @throws RangeError if the source lacks the channel, has more than 64, or more than `most` of which none is named
   */
  constructor(
    path: string,
    source: MixInput,
    channel: number | undefined,
    chunkFrames: number,
    { most = 2, move = NO_MOVE, leadSamples = 0 }: ReadingOptions = {},
  ) {
    if (channel === undefined)
      requireRange(`${path}: channels of the file (name one with "channel")`, source.channels, 1, most);
    requireInteger(`${path}: channels of the file`, source.channels, 1, MAX_CHANNELS);
    if (channel !== undefined) requireInteger(`${path}.channel`, channel, 0, source.channels - 1);
    const shift = new FractionalShift(move.delaySamples);
    const { wholeSamples, beforeSamples, afterSamples } = shift;
    const longest = chunkFrames + beforeSamples + afterSamples;
    this.#source = source;
    this.#buffers = Array.from({ length: source.channels }, () => new Float64Array(longest));
    this.#wanted = channel === undefined ? this.#buffers.map((_, c) => c) : [channel];
    this.#windows = this.#wanted.map(() => new Float64Array(longest));
    this.#shift = shift;
    this.#offset = leadSamples + wholeSamples + beforeSamples;
    this.#inverted = move.polarity < 0;
    this.channels = this.#wanted.length;
    this.frames = Math.max(0, source.frames + this.#offset);
  }

  /** Fills `into[c][0 .. count)` with the frames from `start` on, which may lie before the first or after the last. */
  read(start: number, into: readonly Float64Array[], count: number): void {
    const { beforeSamples, afterSamples } = this.#shift;
    const whole = beforeSamples === 0;
    const windows = whole ? into : this.#windows;
    this.#readWindows(windows, start - this.#offset, count + beforeSamples + afterSamples);
    for (let c = 0; c < into.length; c++) {
      const y = into[c];
      if (!whole) this.#shift.run(windows[c], y, count);
      if (this.#inverted) for (let i = 0; i < count; i++) y[i] = -y[i];
    }
  }

  /** Fills the windows from frame `start` of the source on. */
  #readWindows(windows: readonly Float64Array[], start: number, count: number): void {
    const before = Math.min(count, Math.max(0, -start));
    const first = start + before;
    const there = Math.max(0, Math.min(count - before, this.#source.frames - first));
    const got = there === 0 ? 0 : this.#source.read(first, this.#buffers, there);
    for (let c = 0; c < this.channels; c++) {
      const x = this.#buffers[this.#wanted[c]],
        y = windows[c];
      y.fill(0, 0, before);
      for (let i = 0; i < got; i++) {
        const fine = Math.abs(x[i]) <= INPUT_LIMIT;
        y[before + i] = fine ? x[i] : 0;
        if (!fine && first + i >= this.#checkedTo) this.nonFinite++;
      }
      y.fill(0, before + got, count);
    }
    this.#checkedTo = Math.max(this.#checkedTo, first + got);
  }
}
