/**
 * Band spectrum: the power of a sound in bands of frequency, and how wide each band is in stereo.
 *
 *     E_k = sum over frames |X_k|^2 (twice for k other than 0 and N/2) / (1.5 N)      power of a band = its share of
 *     sum E_k = sum x^2                                                               sum E_k / number of samples
 *
 * Frames are N samples long, at least 0.6 s, under a periodic Hann window, a quarter of a frame apart; silence is taken to
 * precede and to follow. Squares of such windows add up to 1.5 at every sample, so that each sample counts alike wherever
 * a hit falls, and the bands of the whole range add up to the mean square. A bin reaches half a bin to either side, and a
 * band gets as much of it as lies within its edges.
 *
 *     width = S / (M + S),   M and S = powers of (L + R) / sqrt 2 and (L - R) / sqrt 2      0 mono, 1/2 unrelated, 1 opposite
 *
 * Source: P. D. Welch, "The Use of Fast Fourier Transform for the Estimation of Power Spectra", IEEE Trans. Audio
 * Electroacoust. 15(2), 1967 (from memory), for averaging periodograms.
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { log10 } from '../core/maths.ts';
import { load, requireFormat, requirePart, requireShape } from '../core/pieces.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';
import { type FrequencyBand, type ThirdOctaveBand, thirdOctaveBands } from '../core/third-octaves.ts';
import { hann } from '../core/windows.ts';
import { correlationOf } from './correlation.ts';

const LEAST_FRAME_SECONDS = 0.6;
const OVERLAP = 4;
const OVERLAPPED_POWER = 1.5; // of four Hann windows

/** A band and what is in it. */
export interface BandLevel extends FrequencyBand {
  /** Root of the mean power over the channels, dB relative to a square wave of full scale; -Infinity for silence. */
  readonly levelDb: number;
  /** Of two channels: -1 to 1; null for another number of channels, and where one is silent. */
  readonly correlation: number | null;
  /** Of two channels: share of the side in the power, 0 to 1; null for another number, and for silence. */
  readonly width: number | null;
}

/** Measures the spectrum of a stream. Its memory is about 100 bytes for each Hz of the sample rate. */
export class SpectrumMeter {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  readonly #size: number;
  readonly #fft: RealFft;
  readonly #window: Float64Array;
  readonly #frames: readonly Float64Array[]; // the last N samples of each channel
  readonly #windowed: Float64Array;
  readonly #re: readonly Float64Array[];
  readonly #im: readonly Float64Array[];
  readonly #powers: Float64Array[]; // of each channel
  #products: Float64Array; // real part of L conj(R)
  #pending = 0; // samples of the hop in progress
  #samples = 0;

  constructor(format: StreamFormat) {
    this.format = requireFormat('SpectrumMeter', format);
    const { sampleRateHz, channels } = this.format;
    let size = 2;
    while (size < LEAST_FRAME_SECONDS * sampleRateHz) size *= 2;
    const bins = size / 2 + 1;
    const arrays = (length: number, count = channels) => Array.from({ length: count }, () => new Float64Array(length));
    this.#size = size;
    this.#fft = new RealFft(size);
    this.#window = hann(size, { periodic: true });
    this.#windowed = new Float64Array(size);
    this.#frames = arrays(size);
    this.#re = arrays(bins, Math.min(2, channels));
    this.#im = arrays(bins, Math.min(2, channels));
    this.#powers = arrays(bins);
    this.#products = new Float64Array(bins);
  }

  /** Takes in `channels[c][start .. end)`: all of the arrays unless given. Samples that are not finite count as 0. */
  process(channels: Channels, start = 0, end: number = channels[0]?.length ?? 0): void {
    requirePart('SpectrumMeter', requireShape('SpectrumMeter', 'input', channels, this.format.channels), start, end);
    const hop = this.#size / OVERLAP;
    for (let at = start; at < end;) {
      const count = Math.min(hop - this.#pending, end - at);
      for (let c = 0; c < this.#frames.length; c++) {
        load(channels[c], at, count, this.#windowed, false); // which is free between two frames
        const to = this.#size - hop + this.#pending;
        for (let i = 0; i < count; i++) this.#frames[c][to + i] = this.#windowed[i];
      }
      at += count;
      this.#pending += count;
      this.#samples += count;
      if (this.#pending === hop) this.#finishHop();
    }
  }

  /** What is in each band; third octaves unless given. */
  levels<B extends FrequencyBand = ThirdOctaveBand>(bands?: readonly B[]): (B & BandLevel)[];
  levels(bands: readonly FrequencyBand[] = audibleThirdOctaves()): BandLevel[] {
    return this.#withTail(() => bands.map((band) => ({ ...band, ...this.#inBand(band) })));
  }

  /** Equal to a new meter. */
  reset(): void {
    for (const array of [...this.#frames, ...this.#powers, this.#products]) array.fill(0);
    this.#pending = this.#samples = 0;
  }

  #finishHop(): void {
    for (let c = 0; c < this.#frames.length; c++) this.#analyse(c);
    const re = this.#re,
      im = this.#im;
    if (this.#frames.length === 2) addProducts(this.#products, re[0], im[0], re[1], im[1]);
    const hop = this.#size / OVERLAP;
    for (let c = 0; c < this.#frames.length; c++) {
      this.#frames[c].copyWithin(0, hop);
      this.#frames[c].fill(0, this.#size - hop);
    }
    this.#pending = 0;
  }

  #analyse(c: number): void {
    const windowed = this.#windowed,
      re = this.#re[c % this.#re.length],
      im = this.#im[c % this.#im.length];
    multiply(this.#window, this.#frames[c], windowed);
    this.#fft.forward(windowed, re, im);
    addProducts(this.#powers[c], re, im, re, im);
  }

  /** Reads as if silence followed, and then goes back to where the stream is. */
  #withTail<T>(read: () => T): T {
    const [frames, powers, products, pending] = [
      this.#frames.map((frame) => frame.slice()),
      this.#powers.map((power) => power.slice()),
      this.#products.slice(),
      this.#pending,
    ];
    for (let hop = 0; hop < OVERLAP; hop++) this.#finishHop();
    const result = read();
    this.#frames.forEach((frame, c) => {
      frame.set(frames[c]);
    });
    this.#powers.forEach((power, c) => {
      power.set(powers[c]);
    });
    this.#products.set(products);
    this.#pending = pending;
    return result;
  }

  #inBand({ fromHz, toHz }: FrequencyBand): Pick<BandLevel, 'levelDb' | 'correlation' | 'width'> {
    const binHz = this.format.sampleRateHz / this.#size;
    const sum = (energies: Float64Array) => energyBetween(energies, fromHz / binHz, toHz / binHz);
    const scale = OVERLAPPED_POWER * this.#size * Math.max(1, this.#samples);
    const powers = this.#powers.map((energies) => sum(energies) / scale);
    const total = powers.reduce((all, power) => all + power, 0);
    const levelDb = 10 * log10(total / powers.length);
    if (powers.length !== 2) return { levelDb, correlation: null, width: null };
    const product = sum(this.#products) / scale;
    return {
      levelDb,
      correlation: correlationOf(powers[0], powers[1], product),
      width: total > 0 ? Math.max(0, Math.min(1, (total / 2 - product) / total)) : null,
    };
  }
}

// Loops of a frame are functions of their own: an engine compiles those soon, however rarely a frame is full.

function multiply(a: Float64Array, b: Float64Array, product: Float64Array): void {
  for (let i = 0; i < product.length; i++) product[i] = a[i] * b[i];
}

/** Adds the real parts of the products of a spectrum with the conjugate of another: powers where both are one. */
function addProducts(
  sums: Float64Array,
  re: Float64Array,
  im: Float64Array,
  otherRe: Float64Array,
  otherIm: Float64Array,
): void {
  for (let k = 0; k < sums.length; k++) sums[k] += re[k] * otherRe[k] + im[k] * otherIm[k];
}

/** Spectrum of a whole signal in bands; the 31 third octaves from 20 Hz to 20 kHz unless given. */
export function bandSpectrum<B extends FrequencyBand = ThirdOctaveBand>(
  channels: Channels,
  sampleRateHz: number,
  bands?: readonly B[],
): (B & BandLevel)[];
export function bandSpectrum(
  channels: Channels,
  sampleRateHz: number,
  bands: readonly FrequencyBand[] = audibleThirdOctaves(),
): BandLevel[] {
  const meter = new SpectrumMeter({ sampleRateHz, channels: channels.length });
  meter.process(channels);
  return meter.levels(bands);
}

/** Named 20 Hz to 20 kHz; the lowest is exactly 19.95 Hz. */
function audibleThirdOctaves(): ThirdOctaveBand[] {
  return thirdOctaveBands(19.9, 20_000);
}

/** Sum of the bins between two positions, counted in bins: the bins at the edges in part, inner ones for both signs. */
function energyBetween(energies: Float64Array, lower: number, upper: number): number {
  const last = energies.length - 1;
  let sum = 0;
  for (let k = Math.max(0, Math.floor(lower - 0.5)); k <= Math.min(last, Math.ceil(upper + 0.5)); k++) {
    // Bins 0 and N/2 reach half a bin to one side only, and all of that is theirs.
    const from = Math.max(0, k - 0.5),
      to = Math.min(last, k + 0.5);
    const share = Math.max(0, Math.min(upper, to) - Math.max(lower, from)) / (to - from);
    sum += share * energies[k] * (k === 0 || k === last ? 1 : 2);
  }
  return sum;
}
