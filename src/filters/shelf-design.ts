/**
 * Second-order shelves: a gain on one side of the corner, none on the other, exactly half of it (in dB) at the corner.
 *
 *     low    A (s^2 + s sqrt(A)/Q + A) / (A s^2 + s sqrt(A)/Q + 1)
 *     high   A (A s^2 + s sqrt(A)/Q + 1) / (s^2 + s sqrt(A)/Q + A),      A = 10^(gain / 40)
 *
 * The width comes as Q, or as the slope S with 1/Q^2 = (A + 1/A)(1/S - 1) + 2. At S = 1 the shelf is as steep as it can
 * be without overshoot, and below that the slope in dB per octave at the corner is proportional to S. Larger S
 * overshoots, up to (A^2 + 1) / (A - 1)^2, where the poles reach the unit circle.
 *
 * Source: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021.
 *
 * @module
 */
import {
  type BiquadCoefficients,
  type CornerOptions,
  digital,
  inverseOfQ,
  requireBetween,
  rootGain,
} from './biquad-coefficients.ts';

/** Options of {@link lowShelf} and {@link highShelf}: `q` or `slope`; q = 1/sqrt(2) (slope 1) if neither is given. */
export interface ShelfOptions extends CornerOptions {
  /** Gain of the shelf, -120 to 120 dB. */
  readonly gainDb: number;
  /** Quality factor, above 0. */
  readonly q?: number;
  /** The S above, from 0 to its largest value (5.03 at +-12 dB), both excluded. */
  readonly slope?: number;
}

/** Gain below the corner. Throws as {@link ShelfOptions} tells: RangeError for a value, TypeError for a wrong type. */
export function lowShelf(options: ShelfOptions): BiquadCoefficients {
  const { gain, width } = shelf('lowShelf', options);
  return digital('lowShelf', options, [gain, gain * width, gain * gain], [gain, width, 1]);
}

/** Gain above the corner. Throws as {@link ShelfOptions} tells: RangeError for a value, TypeError for a wrong type. */
export function highShelf(options: ShelfOptions): BiquadCoefficients {
  const { gain, width } = shelf('highShelf', options);
  return digital('highShelf', options, [gain * gain, gain * width, gain], [1, width, gain]);
}

/** The gain A and the width sqrt(A) / Q. */
function shelf(owner: string, options: ShelfOptions): { gain: number; width: number } {
  const gain = rootGain(owner, options.gainDb);
  return { gain, width: Math.sqrt(gain) * dampingOf(owner, options, gain) };
}

/** 1/Q, by Q or by the slope. */
function dampingOf(owner: string, { gainDb, q, slope }: ShelfOptions, gain: number): number {
  if (slope === undefined) return inverseOfQ(owner, q);
  if (q !== undefined) throw new TypeError(`${owner}: q and slope must not both be given`);
  const steepest = (gain * gain + 1) / ((gain - 1) * (gain - 1)); // Infinity at 0 dB
  requireBetween(`${owner}: slope (at gainDb ${gainDb})`, slope, 0, steepest);
  return Math.sqrt((gain + 1 / gain) * (1 / slope - 1) + 2);
}
