/**
 * Clipping curves: odd, of slope 1 at 0, never beyond -1 to 1.
 *
 *     hard    f(u) = u for |u| <= 1, else +-1
 *     cubic   f(u) = u - 4/27 u^3 for |u| <= 3/2, else +-1          (1.5 v - 0.5 v^3 with v = u / 1.5)
 *     tanh    f(u) = tanh u
 *
 * The hard curve has a corner, so its harmonics fall by 12 dB an octave; the cubic's slope is continuous (18 dB an
 * octave); tanh is smooth.
 *
 * @module
 */
import { tanh } from '../core/maths.ts';

const CUBIC_END = 1.5; // where the cubic reaches 1 with slope 0
const CUBIC = 4 / 27;

/** The hard curve at `u`. */
export function hardClip(u: number): number {
  return u > 1 ? 1 : u < -1 ? -1 : u;
}

/** The cubic curve at `u`. */
export function cubicClip(u: number): number {
  return u >= CUBIC_END ? 1 : u <= -CUBIC_END ? -1 : u - CUBIC * u * u * u;
}

/** The hyperbolic tangent at `u`, accurately; the clippers use a table within 1e-6 dB of it. */
export function tanhClip(u: number): number {
  return tanh(u);
}

/** y = c f(g y), in place, with the hard curve; `k` begins with g and c. */
export function hardClipInPlace(y: Float64Array, count: number, k: Float64Array): void {
  const gain = k[0],
    ceiling = k[1];
  for (let i = 0; i < count; i++) y[i] = ceiling * hardClip(gain * y[i]);
}

/** The same with the cubic curve. */
export function cubicClipInPlace(y: Float64Array, count: number, k: Float64Array): void {
  const gain = k[0],
    ceiling = k[1];
  for (let i = 0; i < count; i++) y[i] = ceiling * cubicClip(gain * y[i]);
}
