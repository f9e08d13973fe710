/**
 * Biquad cascade: filters a signal with any list of second-order sections, and changes the list without a click.
 *
 *     input --> section 0 --> section 1 --> ... --> output
 *
 * Other sections are cross-faded in over 20 ms. Sections that come during a fade wait for its end; the latest win.
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { Shell } from '../core/shell.ts';
import type { BiquadCoefficients } from './biquad-coefficients.ts';
import { BiquadKernel, writeSections } from './biquad-kernel.ts';
import { FadingKernel } from './fading-kernel.ts';
import { requireSections, tailOfSections } from './stability.ts';

/** Second-order sections in series, the same for all channels. */
export class BiquadCascade extends Shell {
  readonly #kernel: FadingKernel;
  readonly #wanted: Float64Array; // coefficients of the sections set last
  readonly #waiting = this.memory(1); // 1 until they begin to sound

  /**
   * @param sections - as the design functions return them; their number is the most that `setSections` takes
   * @throws RangeError for a section whose poles are not inside the unit circle
   */
  constructor(format: StreamFormat, sections: readonly BiquadCoefficients[]) {
    super('BiquadCascade', format);
    const { channels, sampleRateHz } = this.format;
    this.workIn(format.simd?.rows);
    this.#kernel = this.own(new FadingKernel(new BiquadKernel(sections.length, channels, format.simd), sampleRateHz));
    this.#wanted = this.#kernel.coefficients.slice();
    this.own({ state: [this.#wanted], reset: () => {} }); // parameters outlive a reset
    this.setSections(sections);
    this.begin();
  }

  /** A bound from the radius of the poles, for the sections set last. */
  override get tailSamples(): number {
    return tailOfSections(this.#wanted);
  }

  /**
   * Fades to other sections, at most as many as at construction.
   * @throws RangeError for too many of them, or for poles that are not inside the unit circle; then nothing changes
   */
  setSections(sections: readonly BiquadCoefficients[]): void {
    requireSections('BiquadCascade', sections, this.#wanted.length / 5);
    writeSections(this.#wanted, sections);
    this.#waiting[0] = 1;
  }

  protected override onReset(): void {
    this.#kernel.jumpTo(this.#wanted);
  }

  protected override onGrid(): void {
    this.#kernel.flush();
  }

  protected override nextPiece(): number {
    if (this.#waiting[0] === 1 && !this.#kernel.fading) {
      this.#kernel.fadeTo(this.#wanted);
      this.#waiting[0] = 0;
    }
    return this.#kernel.fading ? 1 : BLOCK;
  }

  protected override advance(x: Float64Array[], count: number): void {
    this.#kernel.run(x, count);
  }
}
