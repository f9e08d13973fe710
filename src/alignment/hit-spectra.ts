/**
 * Spectra of the moment of each hit, cut out by a window that can lie between samples.
 *
 *          _______
 *         /       \___           rises in 0.5 ms up to the hit, holds for 1.5 ms, falls in 1.5 ms
 *     ---'            '---
 *        ^ hit
 *
 * The direct sound is alone there, or nearly so: reflections from the floor arrive 1 ms later and more. The window of the
 * second microphone lies later by exactly the delay, with its fraction. If it lay on whole samples, the ends of both
 * windows would fall on the same sample numbers, and what slow sounds leak through them would pull the estimate to a whole
 * number (by up to 0.2 sample, measured on the simulated kit).
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { cos } from '../core/maths.ts';
import type { SampleSource } from '../core/sample-source.ts';

const RISE_MS = 0.5;
const HOLD_MS = 1.5;
const FALL_MS = 1.5;

/** Spectra of many hits, one after the other. */
export interface Spectra {
  readonly count: number;
  readonly bins: number;
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Cuts hits out of sources and transforms them. */
export class HitSpectra {
  readonly fft: RealFft;
  readonly #leadSamples: number;
  readonly #lengthSamples: number;
  readonly #perMs: number;
  readonly #frame: Float64Array;

  /** @param extraSamples - room for a second signal to lie so much earlier or later in its frame */
  constructor(sampleRateHz: number, extraSamples = 0) {
    this.#perMs = sampleRateHz / 1000;
    this.#leadSamples = Math.ceil(RISE_MS * this.#perMs);
    this.#lengthSamples = this.#leadSamples + Math.ceil((HOLD_MS + FALL_MS) * this.#perMs) + 2;
    let size = 16;
    while (size < 4 * this.#lengthSamples || size < 2 * (this.#lengthSamples + 2 * extraSamples)) size *= 2;
    this.fft = new RealFft(size);
    this.#frame = new Float64Array(size);
  }

  /** A stretch around the hits at `samples` (whole numbers), moved `shift` samples later with its fraction. */
  windowed(source: SampleSource, samples: readonly number[], shift: number): Spectra {
    const whole = Math.floor(shift);
    const window = this.#window(shift - whole);
    return this.#transform(samples, (sample, frame) => {
      const part = frame.subarray(0, window.length);
      source.read(sample + whole - this.#leadSamples, part);
      for (let i = 0; i < part.length; i++) part[i] *= window[i];
    });
  }

  /** All that lies within `reach` samples of the same stretches, without a window; lag 0 is at `reach` in the frame. */
  around(source: SampleSource, samples: readonly number[], reach: number): Spectra {
    return this.#transform(samples, (sample, frame) => {
      source.read(sample - this.#leadSamples - reach, frame.subarray(0, this.#lengthSamples + 2 * reach));
    });
  }

  #transform(samples: readonly number[], fill: (sample: number, frame: Float64Array) => void): Spectra {
    const bins = this.fft.bins;
    const re = new Float64Array(samples.length * bins);
    const im = new Float64Array(samples.length * bins);
    samples.forEach((sample, hit) => {
      this.#frame.fill(0);
      fill(sample, this.#frame);
      this.fft.forward(this.#frame, re.subarray(hit * bins), im.subarray(hit * bins));
    });
    return { count: samples.length, bins, re, im };
  }

  #window(fraction: number): Float64Array {
    return Float64Array.from({ length: this.#lengthSamples }, (_, n) => {
      const ms = (n - this.#leadSamples - fraction) / this.#perMs;
      return raisedCosine(1 + ms / RISE_MS) * raisedCosine(1 - (ms - HOLD_MS) / FALL_MS);
    });
  }
}

/** 0 below 0, 1 above 1, half a period of a cosine between. */
function raisedCosine(x: number): number {
  return x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * cos(Math.PI * x);
}
