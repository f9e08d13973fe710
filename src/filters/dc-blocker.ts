/**
 * DC blocker: removes what does not change, by a first-order high-pass.
 *
 *     y[n] = b (x[n] - x[n-1]) + r y[n-1],    b = (1 + r) / 2
 *
 * The bilinear transform gives b, so the gain is exactly 0 at DC and 1 at half the sample rate, and -3.01 dB at the
 * corner. A glide moves r along a straight line, which takes b along its own: every filter on the way is such a one.
 *
 * Source: J. O. Smith, "Introduction to Digital Filters with Audio Applications", W3K Publishing 2007, section "DC
 * Blocker" (there with b = 1).
 *
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import { BiquadKernel } from './biquad-kernel.ts';
import { firstOrderHighpass } from './first-order-design.ts';
import { tailOfSections } from './stability.ts';

/** Parameters of a {@link DcBlocker}. */
export const dcBlockerParameters = {
  /** Where the gain is -3.01 dB. At 5 Hz a 40 Hz tone loses 0.07 dB. */
  cornerHz: { default: 5, min: 0.1, max: 200, taper: 'log' },
} as const satisfies ParameterTable;

/** Options of {@link DcBlocker}; {@link dcBlockerParameters} gives defaults, ranges and units. */
export type DcBlockerOptions = ParameterOptions<typeof dcBlockerParameters>;

/**
 * First-order high-pass for all channels.
 *
 * @example
 * ```ts
 * import { DcBlocker } from 'batterhead/filters';
 *
 * const blocker = new DcBlocker({ sampleRateHz: 48000, channels: 1 });
 * const signal = new Float64Array(48000).fill(0.2);
 * blocker.process([signal], [signal]);
 * console.log(Math.abs(signal[47999]) < 1e-3); // true: the offset is gone
 * ```
 */
export class DcBlocker extends ParameterShell<typeof dcBlockerParameters> {
  readonly #kernel: BiquadKernel;

  constructor(format: StreamFormat, options: DcBlockerOptions = {}) {
    super('DcBlocker', dcBlockerParameters, format, options);
    this.#kernel = this.own(new BiquadKernel(1, this.format.channels));
    this.begin();
  }

  override get tailSamples(): number {
    return tailOfSections(Float64Array.from(this.design(this.values)));
  }

  protected override design({ cornerHz }: ParameterValues<typeof dcBlockerParameters>): readonly number[] {
    const { sampleRateHz } = this.format;
    const { b0, b1, b2, a1, a2 } = firstOrderHighpass({ sampleRateHz, frequencyHz: cornerHz });
    return [b0, b1, b2, a1, a2];
  }

  protected override onGrid(): void {
    this.#kernel.flush();
  }

  protected override advance(x: Float64Array[], count: number): void {
    this.#kernel.coefficients.set(this.k);
    this.#kernel.run(x, count);
  }
}
