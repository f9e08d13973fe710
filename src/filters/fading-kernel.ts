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
import { Glide } from '../core/glide.ts';
import { scratch } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { BiquadKernel } from './biquad-kernel.ts';

/** Two kernels, of which one sounds; while fading, pieces must be one sample long. */
export class FadingKernel implements Part {
  readonly state: readonly Float64Array[];
  readonly #kernels: readonly BiquadKernel[];
  readonly #fade: Glide;
  readonly #turn = new Float64Array(1); // which kernel sounds
  readonly #incoming: Float64Array[];

  constructor(sections: number, channels: number, sampleRateHz: number) {
    this.#kernels = [new BiquadKernel(sections, channels), new BiquadKernel(sections, channels)];
    this.#fade = new Glide([0], sampleRateHz);
    this.#incoming = scratch(channels);
    this.state = [...this.#kernels.flatMap((kernel) => kernel.state), ...this.#fade.state, this.#turn];
  }

  /** Coefficients of the sections that sound, to be read or glided. */
  get coefficients(): Float64Array {
    return this.#kernels[this.#turn[0]].coefficients;
  }

  get fading(): boolean {
    return this.#fade.active;
  }

  /** Forgets the signal and any fade; the owner says by `jumpTo` what sounds from here. */
  reset(): void {
    for (const kernel of this.#kernels) kernel.reset();
    this.#fade.reset();
  }

  jumpTo(coefficients: Float64Array): void {
    this.coefficients.set(coefficients);
  }

  /** Begins a fade; not during another one. */
  fadeTo(coefficients: Float64Array): void {
    const incoming = this.#kernels[1 - this.#turn[0]];
    incoming.coefficients.set(coefficients);
    incoming.reset();
    this.#fade.value[0] = 0;
    this.#fade.start([1]);
  }

  /** Filters `x[c][0 .. count)` in place. */
  run(x: readonly Float64Array[], count: number): void {
    const turn = this.#turn,
      fade = this.#fade;
    const sounding = this.#kernels[turn[0]];
    if (!fade.active) return sounding.run(x, count);

    const incoming = this.#incoming;
    fade.step();
    const weight = fade.value[0];
    for (let c = 0; c < x.length; c++) incoming[c][0] = x[c][0];
    sounding.run(x, 1);
    this.#kernels[1 - turn[0]].run(incoming, 1);
    for (let c = 0; c < x.length; c++) x[c][0] += weight * (incoming[c][0] - x[c][0]);
    if (!fade.active) turn[0] = 1 - turn[0];
  }

  /** As {@link BiquadKernel.flush}. */
  flush(): void {
    for (const kernel of this.#kernels) kernel.flush();
  }
}
