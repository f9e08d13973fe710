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
  halfAngle,
  normalised,
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

const SHELF_NAMES: readonly string[] = ['sampleRateHz', 'frequencyHz', 'gainDb', 'q', 'slope'];

/** Gain below the corner. Throws as {@link ShelfOptions} tells: RangeError for a value, TypeError for a name or type. */
export function lowShelf(options: ShelfOptions): BiquadCoefficients {
  const { low, high, gain, width } = shelf('lowShelf', options);
  const top = gain * low + high;
  const bottom = gain * high + low;
  return normalised(
    'lowShelf',
    gain * (top + width),
    2 * gain * (gain * low - high),
    gain * (top - width),
    bottom + width,
    2 * (low - gain * high),
    bottom - width,
  );
}

/** Gain above the corner. Throws as {@link ShelfOptions} tells: RangeError for a value, TypeError for a name or type. */
export function highShelf(options: ShelfOptions): BiquadCoefficients {
  const { low, high, gain, width } = shelf('highShelf', options);
  const top = gain * high + low;
  const bottom = gain * low + high;
  return normalised(
    'highShelf',
    gain * (top + width),
    2 * gain * (low - gain * high),
    gain * (top - width),
    bottom + width,
    2 * (gain * low - high),
    bottom - width,
  );
}

/** low = (1 - cos w0)/2 and high = (1 + cos w0)/2, the gain A, and the width sqrt(A) alpha; the cookbook's terms halved. */
function shelf(owner: string, options: ShelfOptions): { low: number; high: number; gain: number; width: number } {
  const { sine, cosine } = halfAngle(owner, options, SHELF_NAMES);
  const gain = rootGain(owner, options.gainDb);
  const { q, slope } = options;
  let inverseQ: number;
  if (slope === undefined) {
    inverseQ = 1 / requireBetween(`${owner}: q`, q === undefined ? Math.SQRT1_2 : q, 0, Infinity);
  } else {
    if (q !== undefined) throw new TypeError(`${owner}: q and slope must not both be given`);
    const steepest = (gain * gain + 1) / ((gain - 1) * (gain - 1)); // Infinity at 0 dB
    requireBetween(`${owner}: slope (at gainDb ${options.gainDb})`, slope, 0, steepest);
    inverseQ = Math.sqrt((gain + 1 / gain) * (1 / slope - 1) + 2);
  }
  return { low: sine * sine, high: cosine * cosine, gain, width: Math.sqrt(gain) * sine * cosine * inverseQ };
}
