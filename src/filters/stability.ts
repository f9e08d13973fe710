/**
 * What can be told of a filter from the poles of its sections: whether it is stable, and how long it rings.
 *
 *     poles = roots of z^2 + a1 z + a2;     stable where all |pole| < 1:  |a2| < 1, |a1| < 1 + a2
 *
 * The triangle is convex, so all that lies on a straight line between two stable sections is stable.
 *
 * Source: J. O. Smith, "Introduction to Digital Filters with Audio Applications", W3K Publishing 2007 (the triangle of
 * second-order stability; from memory).
 *
 * @module
 */
import { refuse } from '../core/check.ts';
import { type BiquadCoefficients, requireStable } from './biquad-coefficients.ts';

/**
 * @param room - how many sections there is room for
 * @throws RangeError for too many sections, for a pole on or outside the unit circle, or for a number that is not finite
 */
export function requireSections(owner: string, sections: readonly BiquadCoefficients[], room: number): void {
  if (sections.length > room) refuse(`${owner}: sections.length`, `at most ${room}`, sections.length);
  sections.forEach((section, s) => requireStable(`${owner}: sections[${s}]`, section));
}

/**
 * Samples after which the response of sections in series has fallen 120 dB below its peak: a bound.
 *
 * A double pole of radius r answers with (n + 1) r^n, which is down to 1e-6 of its peak when n = 17.7 / -ln r, and no
 * pair of poles of that radius or less takes longer. Since -ln r > 1 - r, 18 / (1 - r) is enough, the two samples of the
 * numerator included. Sections in series add their times.
 *
 * @param coefficients - b0 b1 b2 a1 a2 of each section
 * @returns Infinity if a pole cannot be told from one on the unit circle
 */
export function tailOfSections(coefficients: Float64Array): number {
  let tail = 0;
  for (let at = 0; at < coefficients.length; at += 5) {
    const a1 = coefficients[at + 3],
      a2 = coefficients[at + 4];
    const discriminant = a1 * a1 - 4 * a2;
    const radius = discriminant < 0 ? Math.sqrt(a2) : (Math.abs(a1) + Math.sqrt(discriminant)) / 2;
    tail += Math.ceil(18 / Math.max(0, 1 - radius));
  }
  return tail;
}
