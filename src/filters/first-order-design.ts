/**
 * First-order filters, as sections with b2 = a2 = 0: 6 dB/octave, no resonance.
 *
 *     lowpass  1 / (s + 1)      low shelf   (s + A) / (s + 1/A)
 *     highpass s / (s + 1)      high shelf  (A s + 1) / (s/A + 1),     A = 10^(gain / 40)
 *
 * The shelves reach `gainDb` at DC or half the sample rate and half of it, in dB, at the corner.
 * All throw RangeError for a value out of range and TypeError for a wrong type or an unknown name.
 *
 * Source: bilinear transform of the one-pole prototypes, A. V. Oppenheim, R. W. Schafer, "Discrete-Time Signal
 * Processing", chapter on IIR design (from memory). The shelves follow from |H(j)| = A, derived here.
 *
 * @module
 */
import {
  type BiquadCoefficients,
  CORNER_NAMES,
  type CornerOptions,
  halfAngle,
  normalised,
  rootGain,
} from './biquad-coefficients.ts';

/** Options of {@link firstOrderLowShelf} and {@link firstOrderHighShelf}. */
export interface FirstOrderShelfOptions extends CornerOptions {
  /** Gain of the shelf, -120 to 120 dB. */
  readonly gainDb: number;
}

const SHELF_NAMES: readonly string[] = ['sampleRateHz', 'frequencyHz', 'gainDb'];

/** Passes lows, 6 dB/octave above the corner, -3.01 dB there. */
export function firstOrderLowpass(options: CornerOptions): BiquadCoefficients {
  const { sine, cosine } = halfAngle('firstOrderLowpass', options, CORNER_NAMES);
  return normalised('firstOrderLowpass', sine, sine, 0, cosine + sine, sine - cosine, 0);
}

/** Passes highs, 6 dB/octave below the corner, -3.01 dB there. */
export function firstOrderHighpass(options: CornerOptions): BiquadCoefficients {
  const { sine, cosine } = halfAngle('firstOrderHighpass', options, CORNER_NAMES);
  return normalised('firstOrderHighpass', cosine, -cosine, 0, cosine + sine, sine - cosine, 0);
}

/** Gain below the corner. */
export function firstOrderLowShelf(options: FirstOrderShelfOptions): BiquadCoefficients {
  const { sine, cosine } = halfAngle('firstOrderLowShelf', options, SHELF_NAMES);
  const gain = rootGain('firstOrderLowShelf', options.gainDb);
  const zero = sine * gain;
  const pole = sine / gain;
  return normalised('firstOrderLowShelf', cosine + zero, zero - cosine, 0, cosine + pole, pole - cosine, 0);
}

/** Gain above the corner. */
export function firstOrderHighShelf(options: FirstOrderShelfOptions): BiquadCoefficients {
  const { sine, cosine } = halfAngle('firstOrderHighShelf', options, SHELF_NAMES);
  const gain = rootGain('firstOrderHighShelf', options.gainDb);
  const zero = cosine * gain;
  const pole = cosine / gain;
  return normalised('firstOrderHighShelf', zero + sine, sine - zero, 0, pole + sine, sine - pole, 0);
}
