/**
 * Linkwitz-Riley crossover: a low-pass and a high-pass whose sum is an all-pass, so that splitting a signal into two
 * bands and adding them again keeps the level of every frequency.
 *
 *                +-> low-pass  = Butterworth(N)^2 --+
 *     signal ----+                                  +-> sum: |H| = 1
 *                +-> high-pass = Butterworth(N)^2 --+
 *
 * An order 2N is a Butterworth filter of order N applied twice: -6.02 dB at the corner in each branch. With s = j w,
 * low-pass and high-pass differ by the factor (j w)^(2N) = (-1)^N w^(2N): in phase at every frequency for even N, in
 * antiphase for odd N. For odd N (orders 2, 6, 10, 14) the high-pass returned here therefore carries a change of sign,
 * in its first section. Just add the two branches; with the sign lost they cancel at the corner.
 *
 * Source: S. H. Linkwitz, "Active Crossover Networks for Noncoincident Drivers", JAES 24(1), 1976 (from memory).
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { type BiquadCoefficients, corner, type CornerOptions } from './biquad-coefficients.ts';
import { highpass, lowpass } from './biquad-design.ts';
import { butterworthQs } from './butterworth.ts';

/** Options of {@link linkwitzRiley}. */
export interface LinkwitzRileyOptions extends CornerOptions {
  /** Order of each branch, even, 2 to 16: its slope is 6 dB/octave per order. 4 is usual. */
  readonly order: number;
}

/** The two branches, each a list of sections in series. */
export interface Crossover {
  /** Sections of the low band. */
  readonly lowpass: BiquadCoefficients[];
  /** Polarity included: add it to the low-pass as it is. */
  readonly highpass: BiquadCoefficients[];
}

/** @throws RangeError for a value out of range or an odd order, TypeError for a wrong type. */
export function linkwitzRiley(options: LinkwitzRileyOptions): Crossover {
  corner('linkwitzRiley', options);
  const { sampleRateHz, frequencyHz } = options;
  const order = requireInteger('linkwitzRiley: order', options.order, 2, 16);
  if (order % 2 === 1) throw new RangeError(`linkwitzRiley: order must be even, got ${order}`);

  // Odd N: the first-order section applied twice is one second-order section with Q = 1/2.
  const oddHalf = (order / 2) % 2 === 1;
  const qs = [...(oddHalf ? [0.5] : []), ...butterworthQs(order / 2).flatMap((q) => [q, q])];
  const high = qs.map((q) => highpass({ sampleRateHz, frequencyHz, q }));
  if (oddHalf) high[0] = inverted(high[0]);
  return { lowpass: qs.map((q) => lowpass({ sampleRateHz, frequencyHz, q })), highpass: high };
}

function inverted({ b0, b1, b2, a1, a2 }: BiquadCoefficients): BiquadCoefficients {
  return { b0: -b0, b1: -b1, b2: -b2, a1, a2 };
}
