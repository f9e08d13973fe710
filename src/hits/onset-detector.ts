/**
 * Finds the beginnings of hits in one microphone.
 *
 *     x --> DC blocker --+--> spectral flux --> peaks --> rough position --+--> first rise --> sample
 *                        |                                                 |
 *                        +--> key band -----------------------------------------> peak over 20 ms --> velocity in dB
 *
 * The spectral path (`SpectralFlux`) says whether there is a hit, the energy path (`FirstRise`) says when. All positions
 * count from the first sample of the stream, so the result does not depend on the lengths of the blocks.
 *
 * Sources: see `spectral-flux.ts`, `peak-picker.ts`, `first-rise.ts`.
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import { exp, pow } from '../core/maths.ts';
import {
  type ParameterOptions,
  type ParameterTable,
  type ParameterValues,
  resolveParameters,
} from '../core/parameters.ts';
import { BLOCK, load, requireFormat, requirePart, requireShape } from '../core/pieces.ts';
import type { Channels } from '../core/processor.ts';
import type { Samples } from '../core/sample-source.ts';
import { BiquadKernel, writeSections } from '../filters/biquad-kernel.ts';
import { butterworthHighpass, butterworthLowpass } from '../filters/butterworth.ts';
import { FirstRise } from './first-rise.ts';
import { PeakPicker } from './peak-picker.ts';
import { SpectralFlux } from './spectral-flux.ts';

/** Parameters of an {@link OnsetDetector}. */
export const onsetDetectorParameters = {
  /** Lower limit of the key band. */
  lowHz: { default: 60, min: 20, max: 'nyquist', taper: 'log' },
  /** Upper limit of the key band, above the lower. */
  highHz: { default: 6000, min: 40, max: 'nyquist', taper: 'log' },
  /** Rise that makes an onset, averaged over the key band, above the average rise of the last 53 ms. */
  riseDb: { default: 6, min: 0.5, max: 40 },
  /** No two onsets are closer: of those that are, the greatest rise counts. */
  minimumDistanceMs: { default: 30, min: 5, max: 500 },
  /** Level of what counts as silence. */
  floorDb: { default: -75, min: -160, max: 0 },
} as const satisfies ParameterTable;

/** Options of {@link OnsetDetector}; {@link onsetDetectorParameters} gives defaults, ranges and units. */
export type OnsetDetectorOptions = ParameterOptions<typeof onsetDetectorParameters>;

/** The beginning of a hit. */
export interface Onset {
  /** Position in the stream, with its fraction. */
  readonly sample: number;
  /** Peak of the key band in the 20 ms from there, dBFS; -200 for silence. */
  readonly velocityDb: number;
  /** Rise of the spectrum, averaged over the key band. */
  readonly riseDb: number;
  /** Share of the energy there that is new, 0 to 1: 1 - 10^(-rise / 10). */
  readonly confidence: number;
}

const MEAN_BEFORE_SECONDS = 0.0533;
const MEAN_AFTER_SECONDS = 0.0107;
const VELOCITY_SECONDS = 0.02;
const DC_CORNER_HZ = 10;
const KEY_ORDER = 2;
const SILENCE_DB = -200;
const TINY = 1e-30; // far above where doubles lose digits and processors slow down

/** Takes in a stream and tells its onsets, each `latencySamples` after it at the most. */
export class OnsetDetector {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Parameters in use. */
  readonly values: ParameterValues<typeof onsetDetectorParameters>;
  /** An onset is told when this many samples have followed it. */
  readonly latencySamples: number;
  readonly #flux: SpectralFlux;
  readonly #picker: PeakPicker;
  readonly #rise: FirstRise;
  readonly #filter = new BiquadKernel(KEY_ORDER, 1); // a high-pass and a low-pass of order 2
  readonly #piece = [new Float64Array(BLOCK)];
  readonly #dcPole: number;
  readonly #velocityReach: number;
  readonly #judged: number; // samples that follow the middle of a frame when it is judged
  readonly #past: number; // samples kept
  readonly #x: Float64Array; // DC-free signal; index 0 is sample #origin
  readonly #key: Float64Array; // key band
  #origin = 0;
  #time = 0; // samples taken in
  #frame = 0; // start of the next frame
  #dcInput = NaN; // the last input
  #dcOutput = 0;

  /** @throws TypeError or RangeError as the table demands, or if `highHz` is not above `lowHz` */
  constructor(sampleRateHz: number, options: OnsetDetectorOptions = {}) {
    const owner = 'OnsetDetector';
    this.sampleRateHz = requireFormat(owner, { sampleRateHz, channels: 1 }).sampleRateHz;
    this.values = resolveParameters(`${owner}: `, onsetDetectorParameters, options, sampleRateHz);
    const { lowHz, highHz, riseDb, minimumDistanceMs, floorDb } = this.values;
    if (highHz <= lowHz) throw new RangeError(`${owner}: highHz must be above lowHz (${lowHz}), got ${highHz}`);

    this.#flux = new SpectralFlux(sampleRateHz, lowHz, highHz, floorDb);
    const { hop, frameSize } = this.#flux;
    const frames = (seconds: number) => Math.max(1, Math.round((seconds * sampleRateHz) / hop));
    this.#rise = new FirstRise(sampleRateHz);
    this.#velocityReach = Math.round(VELOCITY_SECONDS * sampleRateHz);
    const apart = frames(minimumDistanceMs / 1000);
    const meanAfter = frames(MEAN_AFTER_SECONDS);
    const needed = Math.ceil((this.#rise.after + this.#velocityReach) / hop); // so that what follows an onset is there
    const lag = Math.max(apart, meanAfter, needed);
    this.#picker = new PeakPicker({ apart, meanBefore: frames(MEAN_BEFORE_SECONDS), meanAfter, delta: riseDb, lag });
    this.#judged = lag * hop + frameSize / 2;
    this.latencySamples = this.#judged + this.#rise.before;
    this.#dcPole = exp((-2 * Math.PI * DC_CORNER_HZ) / sampleRateHz);
    const sections = [
      ...butterworthHighpass({ sampleRateHz, frequencyHz: lowHz, order: KEY_ORDER }),
      ...butterworthLowpass({ sampleRateHz, frequencyHz: highHz, order: KEY_ORDER }),
    ];
    writeSections(this.#filter.coefficients, sections);

    this.#past = this.latencySamples + frameSize + BLOCK;
    this.#x = new Float64Array(2 * this.#past + BLOCK);
    this.#key = new Float64Array(this.#x.length);
    this.reset();
  }

  /** Begins anew. */
  reset(): void {
    this.#flux.reset();
    this.#picker.reset();
    this.#filter.reset();
    this.#x.fill(0);
    this.#key.fill(0);
    this.#origin = -this.#past;
    this.#time = 0;
    this.#frame = this.#flux.hop - this.#flux.frameSize;
    this.#dcInput = NaN;
    this.#dcOutput = 0;
  }

  /** Takes in `samples[start .. end)`; returns the onsets that are certain now. Samples that are not finite count as 0. */
  process(samples: Samples, start = 0, end: number = samples.length): Onset[] {
    requirePart('OnsetDetector', requireShape('OnsetDetector', 'input', [samples] as Channels, 1), start, end);
    const onsets: Onset[] = [];
    for (let at = start; at < end;) {
      const count = Math.min(BLOCK - (this.#time % BLOCK), end - at);
      load(samples, at, count, this.#piece[0], false);
      this.#take(count, onsets);
      at += count;
    }
    return onsets;
  }

  /** Ends the stream; returns the onsets that were not certain yet. Begins anew. */
  finish(): Onset[] {
    const onsets: Onset[] = [];
    const frames = this.#time;
    const last = this.#dcInput; // goes on, because to fall to 0 would be an event
    for (let left = frames > 0 ? this.latencySamples + this.#flux.frameSize : 0; left > 0;) {
      const count = Math.min(BLOCK - (this.#time % BLOCK), left);
      this.#piece[0].fill(last, 0, count);
      this.#take(count, onsets);
      left -= count;
    }
    this.reset();
    return onsets.filter(({ sample }) => sample < frames);
  }

  /** Takes in the first `count` samples of the piece. */
  #take(count: number, onsets: Onset[]): void {
    const piece = this.#piece[0];
    let at = this.#time - this.#origin;
    if (at + count > this.#x.length) {
      const shift = at - this.#past;
      this.#x.copyWithin(0, shift, at);
      this.#key.copyWithin(0, shift, at);
      this.#origin += shift;
      at = this.#past;
    }
    if (this.#time % BLOCK === 0) this.#flush();
    this.#blockDc(piece, count);
    for (let i = 0; i < count; i++) this.#x[at + i] = piece[i];
    this.#filter.run(this.#piece, count);
    for (let i = 0; i < count; i++) this.#key[at + i] = piece[i];
    this.#time += count;

    const { hop, frameSize } = this.#flux;
    for (; this.#frame + frameSize <= this.#time; this.#frame += hop) {
      const riseDb = this.#picker.next(this.#flux.next(this.#x, this.#frame - this.#origin));
      if (riseDb > 0) onsets.push(this.#onsetAt(this.#frame + frameSize - this.#judged, riseDb));
    }
  }

  /** y[n] = x[n] - x[n - 1] + p y[n - 1], as if the first sample had been there for ever. */
  #blockDc(x: Float64Array, count: number): void {
    const pole = this.#dcPole;
    let before = Number.isNaN(this.#dcInput) ? x[0] : this.#dcInput;
    let y = this.#dcOutput;
    for (let i = 0; i < count; i++) {
      y = x[i] - before + pole * y;
      before = x[i];
      x[i] = y;
    }
    this.#dcInput = before;
    this.#dcOutput = y;
  }

  /** On the grid of 128 samples: what has all but died away becomes silence. */
  #flush(): void {
    this.#filter.flush();
    if (Math.abs(this.#dcOutput) < TINY) this.#dcOutput = 0;
  }

  #onsetAt(rough: number, riseDb: number): Onset {
    const sample = this.#rise.find(this.#x, rough - this.#origin).index + this.#origin;
    const first = Math.round(sample) - this.#origin;
    let peak = 0;
    for (let i = first; i < first + this.#velocityReach; i++) peak = Math.max(peak, Math.abs(this.#key[i]));
    return {
      sample: Math.max(0, sample),
      velocityDb: Math.max(SILENCE_DB, gainToDb(peak)),
      riseDb,
      confidence: 1 - pow(10, -riseDb / 10),
    };
  }
}
