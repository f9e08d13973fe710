/**
 * Resampler: another sample rate for the same sound.
 *
 *     y[n] = sum over k of x[k] h(n M/L - k),    toHz / fromHz = L / M in lowest terms
 *
 * h is a low-pass in continuous time (Kaiser-windowed sinc, `kaiser-design.ts`) that reaches 44 samples of the lower rate
 * to either side. n M/L has only L different fractions, so L rows of taps hold all of h that is ever asked for:
 *
 *     x --> last 2K inputs --> times row (n M mod L) --> y[n],     K = 44, or 44 M/L when the rate goes down
 *
 * Of the lower rate: flat within 0.01 dB to 0.4535 (20 kHz at 44.1 kHz), at least 110 dB down from 0.5465 (24.1 kHz). The
 * transition is symmetric about half the lower rate, so what it lets through folds only onto what is above the band.
 *
 * The phase is zero: y[n] is the input at time n / toHz, with no delay to take off. What comes late is the moment when it
 * can be known, `latencySamples` input samples after. `flush` gives what is still owed at the end.
 *
 * Source: J. O. Smith, P. Gossett, "A flexible sampling-rate conversion method", Proc. IEEE ICASSP 1984 (from memory).
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { BLOCK, load, requireShape, scratch, store } from '../core/pieces.ts';
import type { Channels, Part } from '../core/processor.ts';
import { kaiserBeta, windowedSinc } from './kaiser-design.ts';

/** Reach of the kernel to either side, in samples of the lower rate. */
const REACH = 44;
/** Attenuation that the window is made for, in dB. */
const ATTENUATION_DB = 120;
/** 8 MB of taps. 8000 Hz to 384000 Hz and all usual rates stay far below; 44100 to 44101 Hz would need 31 MB. */
const MAXIMUM_TAPS = 1 << 20;

export interface ResamplerOptions {
  /** Rate of the input, 8000 to 384000 Hz, whole. */
  readonly fromHz: number;
  /** Rate of the output, 8000 to 384000 Hz, whole. */
  readonly toHz: number;
  /** Number of channels, 1 to 64. */
  readonly channels: number;
}

/** Converts a stream, block by block; the blocks' lengths do not change the output. */
export class Resampler implements Part {
  /** Input samples that must be known after the time of an output sample. */
  readonly latencySamples: number;
  readonly state: readonly Float64Array[];
  readonly #channels: number;
  readonly #up: number; // L
  readonly #down: number; // M
  readonly #taps: Float64Array; // L rows
  readonly #past: readonly Float64Array[];
  readonly #window: readonly Float64Array[];
  readonly #result: readonly Float64Array[];
  readonly #silence: readonly Float64Array[];
  readonly #next = new Float64Array(2); // the next output: inputs until it is due; its row
  readonly #refused = new Float64Array(1);

  /** @throws RangeError for rates whose ratio L / M would need more than 2^20 taps, or a value out of range */
  constructor({ fromHz, toHz, channels }: ResamplerOptions) {
    requireInteger('Resampler: fromHz', fromHz, 8000, 384_000);
    requireInteger('Resampler: toHz', toHz, 8000, 384_000);
    this.#channels = requireInteger('Resampler: channels', channels, 1, 64);
    const divisor = greatestCommonDivisor(fromHz, toHz);
    this.#up = toHz / divisor;
    this.#down = fromHz / divisor;
    const lower = Math.min(1, this.#up / this.#down); // the lower rate, in cycles per input sample
    this.latencySamples = 2 * Math.ceil(REACH / lower / 2); // even, for the inner loop
    const row = 2 * this.latencySamples;
    if (this.#up * row > MAXIMUM_TAPS) {
      const size = `${this.#up} x ${row} taps, at most ${MAXIMUM_TAPS}`;
      throw new RangeError(`Resampler: fromHz and toHz must have a larger common divisor; ${fromHz} to ${toHz} needs ${size}`);
    }
    this.#taps = rowsOf(this.#up, this.latencySamples, lower);
    this.#past = Array.from({ length: channels }, () => new Float64Array(row - 1));
    this.#window = this.#past.map(() => new Float64Array(row - 1 + BLOCK));
    this.#result = this.#past.map(() => new Float64Array(this.maximumOutput(BLOCK)));
    this.#silence = scratch(channels);
    this.state = [...this.#past, this.#next, this.#refused];
    this.reset();
  }

  /** Latency in seconds: `latencySamples` over the input's rate. */
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

  /** Most output samples that `count` input samples can bring. */
  maximumOutput(count: number): number {
    return Math.ceil((count * this.#up) / this.#down);
  }

  /**
   * Takes `count` samples from the front of `input`, writes what they bring to the front of `output`, and returns how many
   * samples that is. Never allocates.
   *
   * @throws RangeError if `output` is too short; `maximumOutput(count)` is always enough. Nothing has changed then
   */
  process(input: Channels, count: number, output: Channels): number {
    const longest = requireShape('Resampler', 'input', input, this.#channels);
    requireInteger('Resampler: count', count, 0, longest);
    this.#requireRoom(output, count);
    return this.#run(input, count, true, output, 0);
  }

  /**
   * Writes the rest, as if silence followed: in all, N input samples give ceil(N toHz / fromHz) output samples. Returns
   * how many were written, at most `maximumOutput(latencySamples)`, and resets.
   */
  flush(output: Channels): number {
    this.#requireRoom(output, this.latencySamples);
    let written = 0;
    for (let left = this.latencySamples; left > 0; left -= BLOCK) {
      written = this.#run(this.#silence, Math.min(BLOCK, left), false, output, written);
    }
    this.reset();
    return written;
  }
}
