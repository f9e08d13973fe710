/**
 * What the averages of the antiderivative forms take from the highs, and the filters that give it back.
 *
 *     first order      (x[n] + x[n-1]) / 2               cos(w/2)               late by 1/2 sample
 *     second order     (x[n] + x[n-1] + x[n-2]) / 3      1 - 4/3 sin^2(w/2)     late by 1 sample
 *
 * With s = sin^2(w/2), which as a filter is (-1/4, 1/2, -1/4), both losses are undone by a polynomial in s. It is the
 * one that meets 1/(1 - q s) at Chebyshev points s_j of the band, in Newton's form, whose divided differences are known:
 *
 *     1/(1 - q s) = sum over k of  q^k / ((1 - q s_0) ... (1 - q s_k))  (s - s_0) ... (s - s_(k-1))
 *
 *     first order      1/cos(w/2) = cos(w/2) / (1 - s)     the factor cos(w/2) is another half-sample average: the two
 *                                                          halves are a whole sample of the high rate, exactly
 *     second order     q = 4/3
 *
 * Without oversampling the band reaches so high that what is left of it there is mostly alias, and the second order is 0
 * at a third of the sample rate. There the loss stays, and the first order's half sample is completed by a windowed sinc.
 *
 * @module
 */
import { FRACTIONAL_TAPS, fractionalKernel, tuneTaps } from '../filters/fractional-kernel.ts';
import { cosOfTurns } from '../core/maths.ts';

const BAND = 20 / 48; // of the base rate: the oversampler's pass band
const RIPPLE = 1e-4; // 0.001 dB

/** Symmetric taps, at the high rate, to run behind a form of that order. */
export function lossTaps(order: 1 | 2, factor: number): Float64Array {
  if (factor === 1) return order === 1 ? halfSampleDelay() : Float64Array.of(1);
  const q = order === 1 ? 1 : 4 / 3;
  const last = (1 - cosOfTurns(BAND / factor)) / 2; // s at the end of the band
  const points = chebyshevPoints(last, q);
  let taps: Float64Array = new Float64Array(2 * points.length - 1);
  let basis: Float64Array = Float64Array.of(1);
  let weight = 1;
  points.forEach((point, k) => {
    weight *= (k === 0 ? 1 : q) / (1 - q * point);
    const offset = (taps.length - basis.length) / 2;
    for (let i = 0; i < basis.length; i++) taps[offset + i] += weight * basis[i];
    basis = convolved(basis, [-0.25, 0.5 - point, -0.25]);
  });
  if (order === 1) taps = convolved(taps, [0.5, 0.5]);
  return taps;
}

/** As many points as bring the error below the ripple: it is T_n of where the band would have the pole 1/q. */
function chebyshevPoints(last: number, q: number): number[] {
  const pole = 2 / (q * last) - 1;
  let count = 0;
  for (let t = 1, before = pole; t * RIPPLE < 1; count++) [t, before] = [2 * pole * t - before, t];
  return Array.from({ length: count }, (_, j) => (last * (1 - cosOfTurns((2 * j + 1) / (4 * count)))) / 2);
}

function halfSampleDelay(): Float64Array {
  const taps = new Float64Array(FRACTIONAL_TAPS);
  tuneTaps(fractionalKernel(), 0.5, taps);
  return taps;
}

function convolved(a: Float64Array, b: readonly number[]): Float64Array {
  const y = new Float64Array(a.length + b.length - 1);
  a.forEach((v, i) => b.forEach((w, j) => (y[i + j] += v * w)));
  return y;
}
