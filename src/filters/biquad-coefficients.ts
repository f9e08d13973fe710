/**
 * What every design shares: the coefficients, the corner, the width, and the way from an analog filter to a digital one.
 *
 *             b0 + b1 z^-1 + b2 z^-2
 *     H(z) = ------------------------     y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]
 *              1 + a1 z^-1 + a2 z^-2
 *
 * Every design is an analog prototype in s, normalised to s = j at the corner, mapped by the bilinear transform
 *
 *     s = (1 / K) (1 - z^-1) / (1 + z^-1),    K = tan(pi frequency / sampleRate)
 *
 * so that the corner lands exactly where it was asked for.
 *
 * Source: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021; its coefficients are these times
 * 2 cos^2(w0 / 2), since sin w0 = 2K / (1 + K^2) and cos w0 = (1 - K^2) / (1 + K^2).
 *
 * @module
 */
import { refuse, requireNumber, requireRange } from '../core/check.ts';
import { DB_PER_OCTAVE } from '../core/decibels.ts';
import { exp2, tanPi } from '../core/maths.ts';

/** One filter section, a0 = 1. The difference equation subtracts `a1` and `a2`; a first-order section has b2 = a2 = 0. */
export interface BiquadCoefficients {
  /** Of the present input. */
  readonly b0: number;
  /** Of the input one sample ago. */
  readonly b1: number;
  /** Of the input two samples ago. */
  readonly b2: number;
  /** Of the output one sample ago, with a0 = 1. */
  readonly a1: number;
  /** Of the output two samples ago, with a0 = 1. */
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

/** A polynomial in s: the factors of s^2, s and 1. */
export type Polynomial = readonly [number, number, number];

/** Returns `value`, or throws unless it lies strictly between the limits. */
export function requireBetween(name: string, value: unknown, low: number, high: number): number {
  requireNumber(name, value);
  if (!(value > low && value < high)) refuse(name, `above ${low} and below ${high}`, value);
  return value;
}

/** K, after checking the two options it follows from. */
export function corner(owner: string, { sampleRateHz, frequencyHz }: CornerOptions): number {
  requireBetween(`${owner}: sampleRateHz`, sampleRateHz, 0, Infinity);
  requireBetween(`${owner}: frequencyHz`, frequencyHz, 0, sampleRateHz / 2);
  return tanPi(frequencyHz, sampleRateHz);
}

/**
 * 1/Q. By bandwidth B, 1/Q = 2 sinh((ln 2 / 2) x) = 2^(x/2) - 2^(-x/2) with x = B w0 / sin w0: the width of the analog
 * filter, corrected for the slope of the frequency warping at the corner.
 */
export function damping(owner: string, options: ResonanceOptions): number {
  const { sampleRateHz, frequencyHz, q, bandwidthOctaves } = options;
  if (bandwidthOctaves === undefined) return inverseOfQ(owner, q);
  if (q !== undefined) throw new TypeError(`${owner}: q and bandwidthOctaves must not both be given`);
  requireBetween(`${owner}: bandwidthOctaves`, bandwidthOctaves, 0, Infinity);
  const k = corner(owner, options);
  const half = (bandwidthOctaves * Math.PI * frequencyHz * (1 / k + k)) / (2 * sampleRateHz);
  return exp2(half) - exp2(-half);
}

/** 1/Q; q is 1/sqrt(2) unless given. */
export function inverseOfQ(owner: string, q = Math.SQRT1_2): number {
  return 1 / requireBetween(`${owner}: q`, q, 0, Infinity);
}

/** The cookbook's A = 10^(gain / 40) = 2^(gain / 12.04 dB), the square root of the linear gain. */
export function rootGain(owner: string, gainDb: number): number {
  return exp2(requireRange(`${owner}: gainDb`, gainDb, -120, 120) / (2 * DB_PER_OCTAVE));
}

/** The section that the prototype `above / below` becomes at a corner. */
export function digital(
  owner: string,
  options: CornerOptions,
  above: Polynomial,
  below: Polynomial,
): BiquadCoefficients {
  const k = corner(owner, options);
  const [b0, b1, b2] = bilinear(above, k);
  const [a0, a1, a2] = bilinear(below, k);
  const section = { b0: b0 / a0, b1: b1 / a0, b2: b2 / a0, a1: a1 / a0, a2: a2 / a0 };
  requireStable(`${owner}: section at this frequencyHz and width`, section);
  return section;
}

/** A polynomial in s, times K^2 (1 + z^-1)^2: the factors of 1, z^-1 and z^-2. */
function bilinear([square, linear, constant]: Polynomial, k: number): Polynomial {
  const ends = square + constant * k * k;
  return [ends + linear * k, 2 * (constant * k * k - square), ends - linear * k];
}

/**
 * Throws unless the poles lie inside the unit circle as far as double precision can tell: an absurd q, or a corner a
 * millionth of a hertz from DC, puts them on it.
 */
export function requireStable(name: string, { b0, b1, b2, a1, a2 }: BiquadCoefficients): void {
  if (Math.abs(a2) < 1 && Math.abs(a1) < 1 + a2 && Number.isFinite(b0 + b1 + b2)) return;
  refuse(name, 'stable (finite b0, b1, b2, a1, a2; |a2| < 1; |a1| < 1 + a2)', String([b0, b1, b2, a1, a2]));
}
