/**
 * First-order filters, as sections with b2 = a2 = 0: 6 dB/octave, no resonance.
 *
 *     lowpass  1 / (s + 1)      low shelf   (s + A) / (s + 1/A)
 *     highpass s / (s + 1)      high shelf  (A s + 1) / (s/A + 1),     A = 10^(gain / 40)
 *     allpass  (1 - s) / (1 + s)
 *
 * The shelves reach `gainDb` at DC or half the sample rate and half of it, in dB, at the corner.
 * All throw RangeError for a value out of range and TypeError for a wrong type.
 *
 * Source: bilinear transform of the one-pole prototypes, A. V. Oppenheim, R. W. Schafer, "Discrete-Time Signal
 * Processing", chapter on IIR design (from memory). The shelves follow from |H(j)| = A, derived here.
 *
 * @module
 */
import { type BiquadCoefficients, corner, type CornerOptions, requireStable, rootGain } from './biquad-coefficients.ts';

/** Options of {@link firstOrderLowShelf} and {@link firstOrderHighShelf}. */
export interface FirstOrderShelfOptions extends CornerOptions {
  /** Gain of the shelf, -120 to 120 dB. */
  readonly gainDb: number;
}

/** Passes lows, 6 dB/octave above the corner, -3.01 dB there. */
export function firstOrderLowpass(options: CornerOptions): BiquadCoefficients {
  return digital('firstOrderLowpass', options, [0, 1], [1, 1]);
}

/** Passes highs, 6 dB/octave below the corner, -3.01 dB there. */
export function firstOrderHighpass(options: CornerOptions): BiquadCoefficients {
  return digital('firstOrderHighpass', options, [1, 0], [1, 1]);
}

/** Leaves the level of every frequency and turns its phase, from 0 at DC by -90 degrees at the corner to -180. */
export function firstOrderAllpass(options: CornerOptions): BiquadCoefficients {
  return digital('firstOrderAllpass', options, [-1, 1], [1, 1]);
}

/** Gain below the corner. */
export function firstOrderLowShelf(options: FirstOrderShelfOptions): BiquadCoefficients {
  const gain = rootGain('firstOrderLowShelf', options.gainDb);
  return digital('firstOrderLowShelf', options, [1, gain], [1, 1 / gain]);
}

/** Gain above the corner. */
export function firstOrderHighShelf(options: FirstOrderShelfOptions): BiquadCoefficients {
  const gain = rootGain('firstOrderHighShelf', options.gainDb);
  return digital('firstOrderHighShelf', options, [gain, 1], [1 / gain, 1]);
}

/** A polynomial in s: the factors of s and 1. */
type Polynomial = readonly [number, number];

/** The section that the prototype `above / below` becomes at a corner. */
function digital(owner: string, options: CornerOptions, above: Polynomial, below: Polynomial): BiquadCoefficients {
  const k = corner(owner, options);
  const [b0, b1] = bilinear(above, k);
  const [a0, a1] = bilinear(below, k);
  const section = { b0: b0 / a0, b1: b1 / a0, b2: 0, a1: a1 / a0, a2: 0 };
  requireStable(`${owner}: section at this frequencyHz`, section);
  return section;
}

/** A polynomial in s, times K (1 + z^-1): the factors of 1 and z^-1. */
function bilinear([linear, constant]: Polynomial, k: number): Polynomial {
  return [constant * k + linear, constant * k - linear];
}
