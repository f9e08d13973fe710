/**
 * Biquad cascade: filters a signal with any list of second-order sections, and changes the list without a click.
 *
 *               +-- sections that sound  --- 1 - w --+
 *     input ----+                                    +---> output      w = raised cosine from 0 to 1 over 20 ms
 *               +-- sections to come     --- w ------+
 *
 * New sections start from rest and are faded in, both cascades being stable on their own: gliding coefficients instead
 * would be stable too, but from 10 kHz to 20 Hz a low-pass overshoots by 10 dB. Sections that come during a fade wait
 * for its end; the latest win.
 *
 * @module
 */
import { Glide } from '../core/glide.ts';
import { BLOCK, scratch } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { Shell } from '../core/shell.ts';
import type { BiquadCoefficients } from './biquad-coefficients.ts';
import { BiquadKernel, writeSections } from './biquad-kernel.ts';
import { requireStable, tailOfSections } from './stability.ts';

/** Second-order sections in series, the same for all channels. */
export class BiquadCascade extends Shell<Record<never, never>> {
  readonly #wanted: BiquadKernel; // runs nothing: the coefficients that were set last
  readonly #kernels: readonly BiquadKernel[];
  readonly #fade: Glide;
  readonly #turn = this.memory(2); // which kernel sounds; 1 while sections wait
  readonly #incoming: Float64Array[];

  /**
   * @param sections - as the design functions return them; their number is the most that `setSections` takes
   * @throws RangeError for a section whose poles are not inside the unit circle
   */
  constructor(format: StreamFormat, sections: readonly BiquadCoefficients[]) {
    super('BiquadCascade', {}, format, {});
    const kernel = (channels: number) => this.own(new BiquadKernel(sections.length, channels));
    const { channels } = this.format;
    this.#wanted = kernel(0);
    this.#kernels = [kernel(channels), kernel(channels)];
    this.#fade = this.own(new Glide([0], this.format.sampleRateHz));
    this.#incoming = scratch(channels);
    this.setSections(sections);
    this.begin();
  }

  /** A bound from the radius of the poles; that of the sections set last. */
  override get tailSamples(): number {
    return tailOfSections(this.#wanted.coefficients);
  }

  /**
   * Fades to other sections, at most as many as at construction.
   * @throws RangeError for too many of them or for poles that are not inside the unit circle; then nothing changes
   */
  setSections(sections: readonly BiquadCoefficients[]): void {
    requireStable('BiquadCascade', sections, this.#wanted.coefficients.length);
    writeSections(this.#wanted.coefficients, sections);
    this.#turn[1] = 1;
  }

  protected override design(): readonly number[] {
    return [];
  }

  protected override onReset(): void {
    this.#kernels[0].coefficients.set(this.#wanted.coefficients);
  }

  protected override onGrid(): void {
    for (const kernel of this.#kernels) kernel.flush();
  }

  protected override pieceLimit(): number {
    return this.#fade.active || this.#turn[1] === 1 ? 1 : BLOCK;
  }

  protected override advance(x: readonly Float64Array[], _key: readonly Float64Array[], count: number): void {
    const turn = this.#turn,
      fade = this.#fade;
    if (turn[1] === 1 && !fade.active) this.#startFade();
    const sounding = this.#kernels[turn[0]];
    if (!fade.active) return sounding.run(x, count);

    fade.step();
    const incoming = this.#incoming,
      weight = fade.value[0];
    for (let c = 0; c < x.length; c++) incoming[c][0] = x[c][0];
    sounding.run(x, 1);
    this.#kernels[1 - turn[0]].run(incoming, 1);
    for (let c = 0; c < x.length; c++) x[c][0] += weight * (incoming[c][0] - x[c][0]);
    if (!fade.active) turn[0] = 1 - turn[0];
  }

  #startFade(): void {
    const incoming = this.#kernels[1 - this.#turn[0]];
    incoming.coefficients.set(this.#wanted.coefficients);
    incoming.reset();
    this.#fade.value[0] = 0;
    this.#fade.start([1]);
    this.#turn[1] = 0;
  }
}
