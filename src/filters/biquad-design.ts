/**
 * Second-order filters by corner frequency and width: one pure function per type.
 *
 *     lowpass               1 / D           highpass   s^2 / D           D = s^2 + s/Q + 1
 *     bandpass              (s/Q) / D       notch      (s^2 + 1) / D
 *     bandpassConstantSkirt s / D           allpass    (s^2 - s/Q + 1) / D
 *     peaking               (s^2 + s A/Q + 1) / (s^2 + s/(A Q) + 1),     A = 10^(gain / 40)
 *
 * All throw RangeError for a value out of range, TypeError for a wrong type or `q` and `bandwidthOctaves` at once.
 *
 * Source: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021.
 *
 * @module
 */
import { type BiquadCoefficients, damping, digital, type ResonanceOptions, rootGain } from './biquad-coefficients.ts';

/** Options of {@link peaking}. */
export interface PeakingOptions extends ResonanceOptions {
  /** Gain at the corner, -120 to 120 dB. */
  readonly gainDb: number;
}

/** Passes lows, 12 dB/octave above the corner. The gain at the corner is Q: -3.01 dB at the default. */
export function lowpass(options: ResonanceOptions): BiquadCoefficients {
  return digital('lowpass', options, [0, 0, 1], [1, damping('lowpass', options), 1]);
}

/** Passes highs, 12 dB/octave below the corner. The gain at the corner is Q: -3.01 dB at the default. */
export function highpass(options: ResonanceOptions): BiquadCoefficients {
  return digital('highpass', options, [1, 0, 0], [1, damping('highpass', options), 1]);
}

/** Passes a band, 0 dB at the corner; `bandwidthOctaves` lies between the -3 dB points. */
export function bandpass(options: ResonanceOptions): BiquadCoefficients {
  const width = damping('bandpass', options);
  return digital('bandpass', options, [0, width, 0], [1, width, 1]);
}

/** Passes a band with skirts that do not depend on Q; the gain at the corner is Q. */
export function bandpassConstantSkirt(options: ResonanceOptions): BiquadCoefficients {
  return digital('bandpassConstantSkirt', options, [0, 1, 0], [1, damping('bandpassConstantSkirt', options), 1]);
}

/** Removes the corner and leaves the rest; `bandwidthOctaves` lies between the -3 dB points. */
export function notch(options: ResonanceOptions): BiquadCoefficients {
  return digital('notch', options, [1, 0, 1], [1, damping('notch', options), 1]);
}

/** Leaves the level of every frequency and turns its phase, from 0 at DC by -180 degrees at the corner to -360. */
export function allpass(options: ResonanceOptions): BiquadCoefficients {
  const width = damping('allpass', options);
  return digital('allpass', options, [1, -width, 1], [1, width, 1]);
}

/**
 * Raises or lowers a band: `gainDb` at the corner, 0 dB at DC and at half the sample rate. `bandwidthOctaves` lies
 * between the points of half the gain in dB. A cut is the exact inverse of the boost of the same Q.
 */
export function peaking(options: PeakingOptions): BiquadCoefficients {
  const width = damping('peaking', options);
  const gain = rootGain('peaking', options.gainDb);
  return digital('peaking', options, [1, width * gain, 1], [1, width / gain, 1]);
}
