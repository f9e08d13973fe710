/**
 * Fading kernel: sections that can be exchanged without a click.
 *
 *              +-- sections that sound ---- 1 - w --+
 *     input ---+                                    +---> output      w = raised cosine from 0 to 1 over 20 ms
 *              +-- sections to come ------- w ------+
 *
 * The sections to come start from rest, so what they add is never more than what they would answer to a signal that
 * begins now, and both cascades are stable on their own. A glide of the coefficients would be stable too, but one from
 * 10 kHz to 20 Hz makes a low-pass overshoot by 10 dB, since its state remembers a speed that its new poles carry on.
 *
 * @module
 */
import { glideSamples, shareToCome } from '../core/glide.ts';
import { scratch } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { BiquadKernel } from './biquad-kernel.ts';

/** Two kernels, of which one sounds; while fading, pieces must be one sample long. */
export class FadingKernel implements Part {
  readonly state: readonly Float64Array[];
  /** Coefficients of the sections that sound, to be read or glided. */
  readonly coefficients: Float64Array;
  readonly #sounding: BiquadKernel;
  readonly #coming: BiquadKernel;
  readonly #left = new Float64Array(1); // samples of the fade still to go
  readonly #length: number; // of a fade
  readonly #y: Float64Array[]; // what is coming makes of the input

  /** @param sounding - runs what sounds; becomes a part of this */
  constructor(sounding: BiquadKernel, sampleRateHz: number) {
    const { sections, channels } = sounding;
    this.#sounding = sounding;
    this.#coming = new BiquadKernel(sections, channels);
    this.#length = glideSamples(sampleRateHz);
    this.#y = scratch(channels);
    this.coefficients = this.#sounding.coefficients;
    this.state = [...this.#sounding.state, ...this.#coming.state, this.#left];
  }

  get fading(): boolean {
    return this.#left[0] > 0;
  }

  /** Forgets the signal and any fade; the owner says by `jumpTo` what sounds from here. */
  reset(): void {
    this.#sounding.reset();
    this.#left[0] = 0;
  }

  jumpTo(coefficients: Float64Array): void {
    this.coefficients.set(coefficients);
  }

  /** Begins a fade; not during another one. */
  fadeTo(coefficients: Float64Array): void {
    this.#coming.coefficients.set(coefficients);
    this.#coming.reset();
    this.#left[0] = this.#length;
  }

  /** Filters `x[c][0 .. count)` in place. */
  run(x: readonly Float64Array[], count: number): void {
    if (this.fading) this.#runFading(x);
    else this.#sounding.run(x, count);
  }

  /** As {@link BiquadKernel.flush}; what is coming waits for the end of its fade. */
  flush(): void {
    this.#sounding.flush();
  }

  #runFading(x: readonly Float64Array[]): void {
    const y = this.#y,
      sounding = this.#sounding,
      coming = this.#coming;
    const share = shareToCome(--this.#left[0], this.#length);
    for (let c = 0; c < x.length; c++) y[c][0] = x[c][0];
    sounding.run(x, 1);
    coming.run(y, 1);
    for (let c = 0; c < x.length; c++) x[c][0] = y[c][0] + share * (x[c][0] - y[c][0]);
    if (this.fading) return;
    for (let a = 0; a < coming.state.length; a++) sounding.state[a].set(coming.state[a]);
  }
}
