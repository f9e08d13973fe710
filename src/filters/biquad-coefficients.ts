/**
 * What every second-order design shares: the coefficients, the corner on the unit circle, the width.
 *
 *             b0 + b1 z^-1 + b2 z^-2
 *     H(z) = ------------------------     y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]
 *              1 + a1 z^-1 + a2 z^-2
 *
 * Every design is an analog prototype in s, normalised to s = j at the corner, mapped by the bilinear transform
 *
 *     s = (c / s0) (1 - z^-1) / (1 + z^-1),    s0 = sin(w0 / 2), c = cos(w0 / 2), w0 = 2 pi frequency / sampleRate
 *
 * so that the corner lands exactly where it was asked for. Written in half angles nothing cancels near DC or near half
 * the sample rate: 1 - cos w0 = 2 s0^2, 1 + cos w0 = 2 c^2, sin w0 = 2 s0 c, cos w0 = (c - s0)(c + s0).
 *
 * Source: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021. The half angles are our rewriting.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { dbToGain } from '../core/decibels.ts';
import { exp2, sin } from '../core/maths.ts';

/** One filter section, a0 = 1. The difference equation subtracts `a1` and `a2`; a first-order section has b2 = a2 = 0. */
export interface BiquadCoefficients {
  readonly b0: number;
  readonly b1: number;
  readonly b2: number;
  readonly a1: number;
  readonly a2: number;
}

/** Where a filter acts. */
export interface CornerOptions {
  /** Above 0. */
  readonly sampleRateHz: number;
  /** Above 0 and below half the sample rate. */
  readonly frequencyHz: number;
}

/** Where a filter acts and how wide, by `q` or by `bandwidthOctaves`; q = 1/sqrt(2) if neither is given. */
export interface ResonanceOptions extends CornerOptions {
  /** Quality factor, above 0. */
  readonly q?: number;
  /** Width in octaves, above 0; met closely up to about a quarter of the sample rate, less so beyond. */
  readonly bandwidthOctaves?: number;
}

/** Sine and cosine of half the angle of a frequency on the unit circle. */
export interface HalfAngle {
  readonly sine: number;
  readonly cosine: number;
}

/** Half angle of the corner, cosine of the whole, and the cookbook's alpha = sin(w0) / (2 Q). */
export interface Resonance {
  readonly sine: number;
  readonly cosine: number;
  readonly cosineOfCorner: number;
  readonly alpha: number;
}

export const CORNER_NAMES: readonly string[] = ['sampleRateHz', 'frequencyHz'];
export const RESONANCE_NAMES: readonly string[] = ['sampleRateHz', 'frequencyHz', 'q', 'bandwidthOctaves'];

/** Returns `value`, or throws unless it lies strictly between the limits. */
export function requireBetween(name: string, value: unknown, low: number, high: number): number {
  if (typeof value !== 'number') throw new TypeError(`${name} must be a number, got ${String(value)}`);
  if (value > low && value < high) return value;
  throw new RangeError(`${name} must be above ${low} and below ${high}, got ${value}`);
}

/** Half angle of the corner, after checking the names of all options and the values of the two it uses. */
export function halfAngle(owner: string, options: CornerOptions, names: readonly string[]): HalfAngle {
  for (const name in options) {
    if (!names.includes(name)) throw new TypeError(`${owner}: ${name} is unknown; known are ${names.join(', ')}`);
  }
  const rate = requireBetween(`${owner}: sampleRateHz`, options.sampleRateHz, 0, Infinity);
  const frequency = requireBetween(`${owner}: frequencyHz`, options.frequencyHz, 0, rate / 2);
  return halfAngleAt(frequency, rate);
}

/** Half angle of a frequency. The cosine is the sine of the distance to half the rate: accurate when that is small. */
export function halfAngleAt(frequencyHz: number, sampleRateHz: number): HalfAngle {
  const angle = (hz: number): number => (Math.PI * hz) / sampleRateHz;
  return { sine: sin(angle(frequencyHz)), cosine: sin(angle(sampleRateHz / 2 - frequencyHz)) };
}

/**
 * Corner and width. By bandwidth B, 1/Q = 2 sinh((ln 2 / 2) x) = 2^(x/2) - 2^(-x/2) with x = B w0 / sin w0: the width of
 * the analog filter, corrected for the slope of the frequency warping at the corner.
 */
export function resonance(owner: string, options: ResonanceOptions, names: readonly string[]): Resonance {
  const { sine, cosine } = halfAngle(owner, options, names);
  const { q, bandwidthOctaves } = options;
  let inverseQ: number;
  if (bandwidthOctaves === undefined) {
    inverseQ = 1 / requireBetween(`${owner}: q`, q === undefined ? Math.SQRT1_2 : q, 0, Infinity);
  } else {
    if (q !== undefined) throw new TypeError(`${owner}: q and bandwidthOctaves must not both be given`);
    const octaves = requireBetween(`${owner}: bandwidthOctaves`, bandwidthOctaves, 0, Infinity);
    const half = (octaves * Math.PI * options.frequencyHz) / (2 * options.sampleRateHz * sine * cosine);
    inverseQ = exp2(half) - exp2(-half);
  }
  return { sine, cosine, cosineOfCorner: (cosine - sine) * (cosine + sine), alpha: sine * cosine * inverseQ };
}

/** The cookbook's A = 10^(gain / 40), the square root of the linear gain. */
export function rootGain(owner: string, gainDb: number): number {
  return dbToGain(requireRange(`${owner}: gainDb`, gainDb, -120, 120) / 2);
}

/**
 * Divides by a0. Refuses what double precision cannot hold: poles on or outside the unit circle, known by the triangle
 * |a2| < 1, |a1| < 1 + a2 (an absurd q, or a corner a millionth of a hertz from DC).
 */
export function normalised(
  owner: string,
  b0: number,
  b1: number,
  b2: number,
  a0: number,
  a1: number,
  a2: number,
): BiquadCoefficients {
  const section = { b0: b0 / a0, b1: b1 / a0, b2: b2 / a0, a1: a1 / a0, a2: a2 / a0 };
  if (Math.abs(section.a2) < 1 && Math.abs(section.a1) < 1 + section.a2) return section;
  throw new RangeError(`${owner}: frequencyHz and width must leave the poles inside the unit circle`);
}
