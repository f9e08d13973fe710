/**
 * Butterworth low-pass and high-pass of any order from 1 to 16: the flattest pass band, 6 dB/octave per order.
 *
 *     |H|^2 = 1 / (1 + (f/fc)^(2 N)),     Q_k = 1 / (2 sin((2k - 1) pi / (2N))),  k = 1 .. N/2
 *
 * The poles lie evenly on a half circle, so an order N is N/2 second-order sections with these Q, and one first-order
 * section when N is odd. Always -3.01 dB at the corner. The digital filter falls faster than the formula near half the
 * sample rate, where f and fc stand for their warped values tan(pi f / sampleRate).
 *
 * Source: S. Butterworth, "On the Theory of Filter Amplifiers", 1930 (from memory); the Q are derived from the poles.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { sin } from '../core/maths.ts';
import { type BiquadCoefficients, corner, type CornerOptions } from './biquad-coefficients.ts';
import { highpass, lowpass } from './biquad-design.ts';
import { firstOrderHighpass, firstOrderLowpass } from './first-order-design.ts';

/** Options of {@link butterworthLowpass} and {@link butterworthHighpass}. */
export interface ButterworthOptions extends CornerOptions {
  /** 1 to 16. */
  readonly order: number;
}

/**
 * Sections in series from low to high Q, the first-order section, if any, first.
 * @throws RangeError for a value out of range, TypeError for a wrong type.
 */
export function butterworthLowpass(options: ButterworthOptions): BiquadCoefficients[] {
  const { qs, at } = checked('butterworthLowpass', options);
  const sections = qs.map((q) => lowpass({ ...at, q }));
  return options.order % 2 === 1 ? [firstOrderLowpass(at), ...sections] : sections;
}

/**
 * Sections in series from low to high Q, the first-order section, if any, first.
 * @throws RangeError for a value out of range, TypeError for a wrong type.
 */
export function butterworthHighpass(options: ButterworthOptions): BiquadCoefficients[] {
  const { qs, at } = checked('butterworthHighpass', options);
  const sections = qs.map((q) => highpass({ ...at, q }));
  return options.order % 2 === 1 ? [firstOrderHighpass(at), ...sections] : sections;
}

/** Q of the second-order sections, low to high. */
export function butterworthQs(order: number): number[] {
  const count = Math.floor(order / 2);
  return Array.from({ length: count }, (_, i) => 1 / (2 * sin(((2 * (count - i) - 1) * Math.PI) / (2 * order))));
}

function checked(owner: string, options: ButterworthOptions): { qs: number[]; at: CornerOptions } {
  corner(owner, options); // so that a refusal names this function and not a section's
  const { sampleRateHz, frequencyHz, order } = options;
  return {
    qs: butterworthQs(requireInteger(`${owner}: order`, order, 1, 16)),
    at: { sampleRateHz, frequencyHz },
  };
}
