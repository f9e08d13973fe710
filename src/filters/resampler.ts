/**
 * Resampler: the same sound at another sample rate.
 *
 *     y[n] = sum over k of x[k] h(n M/L - k),    toHz / fromHz = L / M in lowest terms
 *
 *     x --> the 2K inputs around time n M/L --> times row (n M mod L) --> y[n]
 *
 * Of the lower of the two rates: flat within 0.01 dB to 0.4535 (20 kHz at 44.1 kHz), at least 110 dB down from 0.5465
 * (24.1 kHz). Measured: sines in the band are right to -115 dB, those to be removed are at -121 dB. The transition is
 * symmetric about half the lower rate, so what it lets through folds only onto what lies above the band.
 *
 * The phase is zero: y[n] is the input at time n / toHz, with no delay to take off. What comes late is the moment when it
 * is known, `latencySamples` input samples after that time; `flush` gives what is still owed at the end.
 *
 * Source: J. O. Smith, P. Gossett, "A flexible sampling-rate conversion method", Proc. IEEE ICASSP 1984 (from memory);
 * with a rational ratio their interpolation between table entries is not needed.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { BLOCK, load, requireShape, scratch, store } from '../core/pieces.ts';
import type { Channels, Part } from '../core/processor.ts';
import { interpolate, type PolyphaseRows, polyphaseRows } from './polyphase.ts';

/** What to convert. */
export interface ResamplerOptions {
  /** Rate of the input: whole, 8000 to 384000 Hz. */
  readonly fromHz: number;
  /** Rate of the output: whole, 8000 to 384000 Hz. */
  readonly toHz: number;
  /** Number of channels, 1 to 64. */
  readonly channels: number;
}

/** Converts a stream piece by piece; how the stream is cut does not change a bit of the output. */
export class Resampler implements Part {
  /** K: how many input samples the output is late, because it takes those after its own time too. */
  readonly latencySamples: number;
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  readonly #rows: PolyphaseRows;
  readonly #past: readonly Float64Array[];
  readonly #piece = new Float64Array(BLOCK);
  readonly #window: Float64Array;
  readonly #result: Float64Array;
  readonly #silence: readonly Float64Array[];
  readonly #next = new Float64Array(2); // the next output: inputs to come before the one that it waits for; its row
  readonly #refused = new Float64Array(1);

  /** @throws RangeError for a value out of range, or a ratio L/M that takes more than 2^20 taps (L times 2K) */
  constructor({ fromHz, toHz, channels }: ResamplerOptions) {
    requireInteger('Resampler: fromHz', fromHz, 8000, 384_000);
    requireInteger('Resampler: toHz', toHz, 8000, 384_000);
    requireInteger('Resampler: channels', channels, 1, 64);
    this.#rows = polyphaseRows('Resampler', fromHz, toHz);
    this.latencySamples = this.#rows.reach;
    const before = 2 * this.latencySamples - 1;
    this.#past = Array.from({ length: channels }, () => new Float64Array(before));
    this.#window = new Float64Array(before + BLOCK);
    this.#result = new Float64Array(this.maximumOutput(BLOCK));
    this.#silence = scratch(channels);
    this.state = [...this.#past, this.#next, this.#refused];
    this.reset();
  }

  /** Input samples, since `reset`, that were not finite or above 1e6 in magnitude and counted as 0. */
  get nonFiniteInputs(): number {
    return this.#refused[0];
  }

  reset(): void {
    for (const past of this.#past) past.fill(0);
    this.#next[0] = this.latencySamples;
    this.#next[1] = 0;
    this.#refused[0] = 0;
  }

  /** The most output samples that `count` input samples can bring: count L/M, rounded up. */
  maximumOutput(count: number): number {
    return Math.ceil((count * this.#rows.up) / this.#rows.down);
  }

  /**
   * Takes `count` samples from the front of `input`, writes the output samples that are known by then to the front of
   * `output`, and returns how many these are. Never allocates; `output` may not be `input`.
   *
   * @throws RangeError if `output` is too short, where `maximumOutput(count)` is always enough; nothing has changed then
   */
  process(input: Channels, count: number, output: Channels): number {
    const length = requireShape('Resampler', 'input', input, this.#past.length);
    requireInteger('Resampler: count', count, 0, length);
    this.#requireRoom(output, count);
    return this.#convert(input, count, output);
  }

  /**
   * Writes the rest, as if silence followed, and resets: in all, N input samples have given N L/M output samples, rounded
   * up. Returns how many were written, at most `maximumOutput(latencySamples)`.
   *
   * @throws RangeError if `output` is too short; nothing has changed then
   */
  flush(output: Channels): number {
    this.#requireRoom(output, this.latencySamples);
    let written = 0;
    for (let left = this.latencySamples; left > 0; left -= BLOCK) {
      written += this.#convert(this.#silence, Math.min(BLOCK, left), output, written);
    }
    this.reset();
    return written;
  }

  #convert(input: Channels, count: number, output: Channels, at = 0): number {
    let written = 0;
    for (let start = 0; start < count; start += BLOCK) {
      const length = Math.min(BLOCK, count - start),
        frames = this.#framesDue(length);
      for (let c = 0; c < input.length; c++) {
        this.#refused[0] += load(input[c], start, length, this.#piece, false);
        slide(this.#past[c], this.#piece, length, this.#window);
        interpolate(this.#window, this.#rows, this.#next[0], this.#next[1], frames, this.#result);
        store(this.#result, output[c], at + written, frames);
      }
      this.#moveOn(length, frames);
      written += frames;
    }
    return written;
  }

  /** Output n of those to come waits for input next + floor((row + n M) / L): how many have theirs among `count`? */
  #framesDue(count: number): number {
    const { up, down } = this.#rows;
    return Math.max(0, Math.ceil(((count - this.#next[0]) * up - this.#next[1]) / down));
  }

  #moveOn(count: number, frames: number): void {
    const { up, down } = this.#rows;
    const steps = this.#next[1] + frames * down;
    this.#next[0] += Math.floor(steps / up) - count;
    this.#next[1] = steps % up;
  }

  #requireRoom(output: Channels, count: number): void {
    const room = requireShape('Resampler', 'output', output, this.#past.length),
      frames = this.#framesDue(count);
    if (room < frames) throw new RangeError(`Resampler: output must hold ${frames} samples, got ${room}`);
  }
}

/**
 * A whole recording at another rate, in its place in time: sample n of the result is the sound at n / toHz.
 *
 * @param channels - 1 to 64 arrays of one length
 * @returns as many arrays, of length times toHz / fromHz, rounded up
 * @throws as {@link Resampler} does
 */
export function resample(channels: Channels, fromHz: number, toHz: number): Float64Array[] {
  const resampler = new Resampler({ fromHz, toHz, channels: channels.length });
  const frames = channels[0].length;
  const output = channels.map(() => new Float64Array(resampler.maximumOutput(frames)));
  const written = resampler.process(channels, frames, output);
  resampler.flush(output.map((y) => y.subarray(written)));
  return output;
}

/** Lays `x` behind `past` into `window`, and keeps the end of it as the new past. */
function slide(past: Float64Array, x: Float64Array, count: number, window: Float64Array): void {
  const length = past.length;
  for (let i = 0; i < length; i++) window[i] = past[i];
  for (let i = 0; i < count; i++) window[length + i] = x[i];
  for (let i = 0; i < length; i++) past[i] = window[count + i];
}
