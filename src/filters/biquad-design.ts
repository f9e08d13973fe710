/**
 * Second-order filters by corner frequency and width: one pure function per type.
 *
 *     lowpass               1 / D           highpass   s^2 / D           D = s^2 + s/Q + 1
 *     bandpass              (s/Q) / D       notch      (s^2 + 1) / D
 *     bandpassConstantSkirt s / D           allpass    (s^2 - s/Q + 1) / D
 *     peaking               (s^2 + s A/Q + 1) / (s^2 + s/(A Q) + 1),     A = 10^(gain / 40)
 *
 * All throw RangeError for a value out of range, TypeError for a wrong type, an unknown name, or `q` and
 * `bandwidthOctaves` at once.
 *
 * Source: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021.
 *
 * @module
 */
import {
  type BiquadCoefficients,
  normalised,
  RESONANCE_NAMES,
  resonance,
  type ResonanceOptions,
  rootGain,
} from './biquad-coefficients.ts';

/** Options of {@link peaking}. */
export interface PeakingOptions extends ResonanceOptions {
  /** Gain at the corner, -120 to 120 dB. */
  readonly gainDb: number;
}

const PEAKING_NAMES: readonly string[] = ['sampleRateHz', 'frequencyHz', 'q', 'bandwidthOctaves', 'gainDb'];

/** Passes lows, 12 dB/octave above the corner. The gain at the corner is Q: -3.01 dB at the default. */
export function lowpass(options: ResonanceOptions): BiquadCoefficients {
  const { sine, cosineOfCorner, alpha } = resonance('lowpass', options, RESONANCE_NAMES);
  const b = sine * sine;
  return normalised('lowpass', b, 2 * b, b, 1 + alpha, -2 * cosineOfCorner, 1 - alpha);
}

/** Passes highs, 12 dB/octave below the corner. The gain at the corner is Q: -3.01 dB at the default. */
export function highpass(options: ResonanceOptions): BiquadCoefficients {
  const { cosine, cosineOfCorner, alpha } = resonance('highpass', options, RESONANCE_NAMES);
  const b = cosine * cosine;
  return normalised('highpass', b, -2 * b, b, 1 + alpha, -2 * cosineOfCorner, 1 - alpha);
}

/** Passes a band, 0 dB at the corner; `bandwidthOctaves` lies between the -3 dB points. */
export function bandpass(options: ResonanceOptions): BiquadCoefficients {
  const { cosineOfCorner, alpha } = resonance('bandpass', options, RESONANCE_NAMES);
  return normalised('bandpass', alpha, 0, -alpha, 1 + alpha, -2 * cosineOfCorner, 1 - alpha);
}

/** Passes a band with skirts that do not depend on Q; the gain at the corner is Q. */
export function bandpassConstantSkirt(options: ResonanceOptions): BiquadCoefficients {
  const { sine, cosine, cosineOfCorner, alpha } = resonance('bandpassConstantSkirt', options, RESONANCE_NAMES);
  const b = sine * cosine;
  return normalised('bandpassConstantSkirt', b, 0, -b, 1 + alpha, -2 * cosineOfCorner, 1 - alpha);
}

/** Removes the corner and leaves the rest; `bandwidthOctaves` lies between the -3 dB points. */
export function notch(options: ResonanceOptions): BiquadCoefficients {
  const { cosineOfCorner, alpha } = resonance('notch', options, RESONANCE_NAMES);
  return normalised('notch', 1, -2 * cosineOfCorner, 1, 1 + alpha, -2 * cosineOfCorner, 1 - alpha);
}

/** Leaves the level of every frequency and turns its phase, from 0 at DC by -180 degrees at the corner to -360. */
export function allpass(options: ResonanceOptions): BiquadCoefficients {
  const { cosineOfCorner, alpha } = resonance('allpass', options, RESONANCE_NAMES);
  return normalised('allpass', 1 - alpha, -2 * cosineOfCorner, 1 + alpha, 1 + alpha, -2 * cosineOfCorner, 1 - alpha);
}

/**
 * Raises or lowers a band: `gainDb` at the corner, 0 dB at DC and at half the sample rate. `bandwidthOctaves` lies
 * between the points of half the gain in dB. A cut is the exact inverse of the boost of the same Q.
 */
export function peaking(options: PeakingOptions): BiquadCoefficients {
  const { cosineOfCorner, alpha } = resonance('peaking', options, PEAKING_NAMES);
  const gain = rootGain('peaking', options.gainDb);
  const boost = alpha * gain;
  const width = alpha / gain;
  return normalised('peaking', 1 + boost, -2 * cosineOfCorner, 1 - boost, 1 + width, -2 * cosineOfCorner, 1 - width);
}
