/**
 * True peak: how high the waveform rises, between the samples too.
 *
 *     true peak = max( |x[n]|, |y(n + p/16)| )      20 lg of it: dBTP
 *
 * The interpolator reads sines up to 20 kHz at 48 kHz within 0.04 dB; what lies above that is read too low the closer it
 * comes to half the sample rate. Silence is taken to precede and to follow the sound. With `method: 'table'` the
 * published four-phase table interpolates instead, for comparison with meters that use it.
 *
 * Source: Recommendation ITU-R BS.1770-5 (11/2023), Annex 2. It asks for four times 48 kHz; this takes 16 times any rate.
 *
 * @module
 */
import { refuse } from '../core/check.ts';
import { gainToDb } from '../core/decibels.ts';
import { BLOCK, load, requireFormat, requirePart, requireShape } from '../core/pieces.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';
import { INTER_SAMPLE_REACH, InterSamplePeaks, interSampleTable } from '../filters/inter-sample-peak.ts';
import { TablePeaks } from './true-peak-table.ts';

/** How to interpolate: on 16 points to the sample, or by the table of BS.1770. */
export type TruePeakMethod = 'fine' | 'table';

/** Options of {@link TruePeakMeter}. */
export interface TruePeakOptions {
  /** `fine` unless given. */
  readonly method?: TruePeakMethod | undefined;
}

/** Measures the true peak of a stream: a few hundred numbers of memory, whatever the length. */
export class TruePeakMeter {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  readonly #finders: readonly (InterSamplePeaks | TablePeaks)[];
  readonly #highest: Float64Array; // of each channel, linear
  readonly #x = new Float64Array(BLOCK);
  readonly #peaks = new Float64Array(BLOCK);

  /** @throws TypeError or RangeError for a format or a method that does not exist */
  constructor(format: StreamFormat, { method = 'fine' }: TruePeakOptions = {}) {
    this.format = requireFormat('TruePeakMeter', format);
    if (!['fine', 'table'].includes(method)) refuse('TruePeakMeter: method', 'fine or table', method);
    const table = method === 'fine' ? interSampleTable() : undefined;
    const channels = Array.from({ length: this.format.channels });
    this.#finders = channels.map(() => (table ? new InterSamplePeaks(table) : new TablePeaks()));
    this.#highest = new Float64Array(channels.length);
  }

  /** Takes in `channels[c][start .. end)`: all of the arrays unless given. Samples that are not finite count as 0. */
  process(channels: Channels, start = 0, end: number = channels[0]?.length ?? 0): void {
    requirePart('TruePeakMeter', requireShape('TruePeakMeter', 'input', channels, this.format.channels), start, end);
    for (let c = 0; c < this.#finders.length; c++) {
      for (let at = start; at < end; at += BLOCK) {
        const count = Math.min(BLOCK, end - at);
        load(channels[c], at, count, this.#x, false);
        this.#raise(c, this.#finders[c], count, this.#highest);
      }
    }
  }

  /** True peak of each channel in dBTP; -Infinity for silence. */
  get channelPeaksDb(): number[] {
    // What the last samples will do once silence follows them; the stream itself may go on otherwise.
    const highest = this.#highest.slice();
    this.#finders.forEach((finder, c) => {
      const past = finder.state[0].slice();
      this.#x.fill(0);
      this.#raise(c, finder, 2 * INTER_SAMPLE_REACH, highest);
      finder.state[0].set(past);
    });
    return Array.from(highest, gainToDb);
  }

  /** True peak of the loudest channel in dBTP; -Infinity for silence. */
  get truePeakDb(): number {
    return Math.max(...this.channelPeaksDb);
  }

  /** Equal to a new meter. */
  reset(): void {
    for (const finder of this.#finders) finder.reset();
    this.#highest.fill(0);
  }

  #raise(c: number, finder: InterSamplePeaks | TablePeaks, count: number, highest: Float64Array): void {
    const x = this.#x,
      peaks = this.#peaks;
    raiseTo(x, count, highest, c); // never below the sample peak
    finder.process(x, count, highest, c, peaks);
    raiseTo(peaks, count, highest, c);
  }
}

/** Raises `highest[at]` to the largest magnitude. */
function raiseTo(x: Float64Array, count: number, highest: Float64Array, at: number): void {
  let most = highest[at];
  for (let i = 0; i < count; i++) {
    const magnitude = Math.abs(x[i]);
    if (magnitude > most) most = magnitude;
  }
  highest[at] = most;
}

/** True peak of a whole signal in dBTP, the loudest of its channels; -Infinity for silence. */
export function measureTruePeak(channels: Channels, sampleRateHz: number, options?: TruePeakOptions): number {
  const meter = new TruePeakMeter({ sampleRateHz, channels: channels.length }, options);
  meter.process(channels);
  return meter.truePeakDb;
}
