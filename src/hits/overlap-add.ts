/**
 * Overlap-add: changes a signal in its short-time spectrum, frame by frame.
 *
 *     x --> frames of N, every N/4 --> window --> FFT --> [ make ] --> inverse FFT --> window --> added up --> y
 *
 * Analysis and synthesis take the square root of a periodic Hann window w each, whose shifted copies add up to 2 at N/4;
 * their product is w, so half the sum is the input again: unchanged spectra give x, N samples late, within rounding.
 *
 * Source: J. B. Allen, L. R. Rabiner, "A Unified Approach to Short-Time Fourier Analysis and Synthesis", Proc. IEEE
 * 65(11), 1977 (from memory).
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import type { Part } from '../core/processor.ts';
import { hann } from '../core/windows.ts';

/** Frames per length of a frame. */
const OVERLAP = 4;

/** Spectra of one frame: an array of bins for each channel. */
export interface FrameSpectra {
  readonly re: readonly Float64Array[];
  readonly im: readonly Float64Array[];
}

/** Makes the spectra that come out from those that have come in. */
export type MakeSpectra = (input: FrameSpectra, output: FrameSpectra) => void;

/** Frame length for a sample rate: the power of two nearest to 43 ms (2048 at 48 kHz), but at least 512. */
export function frameSizeFor(sampleRateHz: number): number {
  let size = 512;
  while (2 * size * size < 0.00182 * sampleRateHz * sampleRateHz) size *= 2; // 0.0427 squared
  return size;
}

/** A square-root Hann window. */
export function rootHann(size: number): Float64Array {
  return hann(size, { periodic: true }).map((w) => Math.sqrt(w));
}

/** Channels in short-time spectra. Pieces end at multiples of 128 samples. */
export class OverlapAdd implements Part {
  readonly state: readonly Float64Array[];
  readonly #size: number;
  readonly #hop: number;
  readonly #make: MakeSpectra;
  readonly #fft: RealFft;
  readonly #window: Float64Array;
  readonly #input: readonly Float64Array[]; // the last N samples, the newest last
  readonly #output: readonly Float64Array[]; // sums of frames, the oldest first
  readonly #filled = new Float64Array(1); // samples since the last frame
  readonly #frame: Float64Array;
  readonly #spectra: FrameSpectra;
  readonly #made: FrameSpectra;

  /** @param size - N, a power of two from 512 */
  constructor(size: number, inputs: number, outputs: number, make: MakeSpectra) {
    this.#size = size;
    this.#hop = size / OVERLAP;
    this.#make = make;
    this.#fft = new RealFft(size);
    this.#window = rootHann(size);
    const arrays = (count: number, length: number) => Array.from({ length: count }, () => new Float64Array(length));
    const spectra = (count: number) => ({ re: arrays(count, this.#fft.bins), im: arrays(count, this.#fft.bins) });
    this.#input = arrays(inputs, size);
    this.#output = arrays(outputs, size);
    this.#frame = new Float64Array(size);
    this.#spectra = spectra(inputs);
    this.#made = spectra(outputs);
    this.state = [...this.#input, ...this.#output, this.#filled];
  }

  reset(): void {
    for (const array of this.state) array.fill(0);
  }

  /** Takes `x[c][0 .. count)` in, and fills `y[c][0 .. count)` with what comes out, N samples late. */
  process(x: readonly Float64Array[], y: readonly Float64Array[], count: number): void {
    const newest = this.#size - this.#hop,
      at = this.#filled[0] | 0;
    for (let c = 0; c < this.#input.length; c++) {
      for (let i = 0; i < count; i++) this.#input[c][newest + at + i] = x[c][i];
    }
    for (let c = 0; c < this.#output.length; c++) {
      for (let i = 0; i < count; i++) y[c][i] = this.#output[c][at + i];
    }
    this.#filled[0] = at + count;
    if (at + count === this.#hop) this.#runFrame();
  }

  #runFrame(): void {
    const size = this.#size,
      hop = this.#hop,
      window = this.#window,
      frame = this.#frame;
    for (let c = 0; c < this.#input.length; c++) {
      const input = this.#input[c];
      for (let i = 0; i < size; i++) frame[i] = window[i] * input[i];
      this.#fft.forward(frame, this.#spectra.re[c], this.#spectra.im[c]);
      input.copyWithin(0, hop);
    }
    this.#make(this.#spectra, this.#made);
    for (let c = 0; c < this.#output.length; c++) {
      const output = this.#output[c];
      this.#fft.inverse(this.#made.re[c], this.#made.im[c], frame);
      output.copyWithin(0, hop);
      output.fill(0, size - hop);
      for (let i = 0; i < size; i++) output[i] += 0.5 * window[i] * frame[i];
    }
    this.#filled[0] = 0;
  }
}
