/**
 * Phase rotator: all-passes in series, which leave the level of every frequency and turn its phase.
 *
 *     order 1   (1 - s) / (1 + s)                           0 at DC, -90 degrees at the frequency, -180 far above
 *     order 2   (s^2 - s/q + 1) / (s^2 + s/q + 1)           0, -180, -360
 *     order N   N / 2 of the second, one of the first more if N is odd
 *
 * It turns a waveform whose peaks stand on one side, as a kick's may, into one of less peak at the same level, and one of two
 * microphones of a drum towards the other where a delay alone cannot. Other values are cross-faded in over 20 ms.
 *
 * Source: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021, for the all-pass of second order.
 *
 * @module
 */
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { Side, StreamFormat } from '../core/processor.ts';
import { BiquadCascade } from './biquad-cascade.ts';
import type { BiquadCoefficients } from './biquad-coefficients.ts';
import { allpass } from './biquad-design.ts';
import { firstOrderAllpass } from './first-order-design.ts';

/** Parameters of a {@link PhaseRotator}. */
export const phaseRotatorParameters = {
  /** Where half of the turn is done. */
  frequencyHz: { default: 200, min: 10, max: 'nyquist', taper: 'log' },
  /** Quality factor of the sections of second order: the higher, the narrower the turn. */
  q: { default: 0.7071067811865476, min: 0.1, max: 40, taper: 'log' },
  /** Half turns in all. */
  order: { default: 2, min: 1, max: 16, integer: true, fixed: true },
} as const satisfies ParameterTable;

/** Options of {@link PhaseRotator}; {@link phaseRotatorParameters} gives defaults, ranges and units. */
export type PhaseRotatorOptions = ParameterOptions<typeof phaseRotatorParameters>;

type Values = ParameterValues<typeof phaseRotatorParameters>;

/**
 * Turns the phase around a frequency, the same for all channels.
 *
 * @example
 * ```ts
 * import { PhaseRotator } from 'batterhead/filters';
 *
 * const rotator = new PhaseRotator({ sampleRateHz: 48000, channels: 1 }, { frequencyHz: 150, order: 2 });
 * const kick = new Float32Array(512);
 * rotator.process([kick], [kick]);
 * ```
 */
export class PhaseRotator extends ParameterShell<typeof phaseRotatorParameters> {
  readonly #cascade: BiquadCascade;
  readonly #piece: Side = { trusted: true };

  /** @throws TypeError or RangeError if an option is not as {@link phaseRotatorParameters} says. */
  constructor(format: StreamFormat, options: PhaseRotatorOptions = {}) {
    super('PhaseRotator', phaseRotatorParameters, format, options);
    this.#cascade = this.own(new BiquadCascade(format, designRotation(this.values, format.sampleRateHz)));
    this.begin();
  }

  override get tailSamples(): number {
    return this.#cascade.tailSamples;
  }

  override set(options: PhaseRotatorOptions): void {
    const { frequencyHz, q } = this.values;
    super.set(options);
    if (this.values.frequencyHz === frequencyHz && this.values.q === q) return;
    this.#cascade.setSections(designRotation(this.values, this.format.sampleRateHz));
  }

  protected override advance(x: Float64Array[], count: number): void {
    this.#piece.end = count;
    this.#cascade.process(x, x, this.#piece);
  }
}

function designRotation({ frequencyHz, q, order }: Values, sampleRateHz: number): readonly BiquadCoefficients[] {
  const corner = { sampleRateHz, frequencyHz };
  const pairs = Array.from({ length: Math.floor(order / 2) }, () => allpass({ ...corner, q }));
  return order % 2 === 1 ? [...pairs, firstOrderAllpass(corner)] : pairs;
}
