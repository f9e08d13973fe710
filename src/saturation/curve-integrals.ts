/**
 * Antiderivatives of the clipping curves: F' = f, G' = F, both 0 at u = 0. F is even and G odd.
 *
 *     hard     |u| <= 1     F = u^2 / 2                 G = u^3 / 6
 *              beyond       F = |u| - 1/2               G = +-(u^2 / 2 - |u| / 2 + 1/6)
 *     cubic    |u| <= 3/2   F = u^2 / 2 - u^4 / 27      G = u^3 / 6 - u^5 / 135
 *              beyond       F = |u| - 9/16              G = +-(u^2 / 2 - 9/16 |u| + 9/40)
 *     tanh                  F = ln cosh u               G = integral of F: see `tanh-integrals.ts`
 *
 * Source: derived from the curves; F of hard and tanh as in J. D. Parker, V. Zavalishin, E. Le Bivic, "Reducing the
 * Aliasing of Nonlinear Waveshaping Using Continuous-Time Convolution", Proc. DAFx-16, 2016.
 *
 * @module
 */
import { tanhInPlace } from '../core/maths.ts';
import type { ClippingCurve } from './clipping-curve.ts';
import { cubicClipInPlace, hardClipInPlace } from './curves.ts';
import { tanhIntegrals } from './tanh-integrals.ts';

/** The straight cut: its slope falls from 1 to 0 at 1. */
export const hardCurve: ClippingCurve = {
  name: 'hard',
  inPlace: hardClipInPlace,
  integrals: () => hardIntegrals,
  corner: { at: 1, order: 1, jump: -1 },
};

/** The cubic: its curvature jumps from -4/3 to 0 at 3/2. */
export const cubicCurve: ClippingCurve = {
  name: 'cubic',
  inPlace: cubicClipInPlace,
  integrals: () => cubicIntegrals,
  corner: { at: 1.5, order: 2, jump: 4 / 3 },
};

/** The hyperbolic tangent, smooth everywhere. */
export const tanhCurve: ClippingCurve = { name: 'tanh', inPlace: tanhInPlace, integrals: tanhIntegrals };

function hardIntegrals(
  u: Float64Array,
  count: number,
  f: Float64Array,
  first: Float64Array,
  second: Float64Array,
): void {
  for (let i = 0; i < count; i++) {
    const x = u[i],
      a = Math.abs(x),
      sign = x < 0 ? -1 : 1;
    if (a <= 1) {
      f[i] = x;
      first[i] = (x * x) / 2;
      second[i] = (x * x * x) / 6;
    } else {
      f[i] = sign;
      first[i] = a - 0.5;
      second[i] = sign * ((a * (a - 1)) / 2 + 1 / 6);
    }
  }
}

function cubicIntegrals(
  u: Float64Array,
  count: number,
  f: Float64Array,
  first: Float64Array,
  second: Float64Array,
): void {
  for (let i = 0; i < count; i++) {
    const x = u[i],
      a = Math.abs(x),
      sign = x < 0 ? -1 : 1,
      z = x * x;
    if (a < 1.5) {
      f[i] = x * (1 - z * (4 / 27));
      first[i] = z * (0.5 - z / 27);
      second[i] = x * z * (1 / 6 - z / 135);
    } else {
      f[i] = sign;
      first[i] = a - 0.5625;
      second[i] = sign * (a * (a / 2 - 0.5625) + 0.225);
    }
  }
}
