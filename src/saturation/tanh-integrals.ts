/**
 * Antiderivatives of the hyperbolic tangent.
 *
 *     F(u) = ln cosh u                                                 = |u| - ln 2 + ...        for large |u|
 *     G(u) = integral of F from 0 to u                                 = +-(u^2 / 2 - |u| ln 2 + pi^2 / 24) + ...
 *
 * Neither is cheap (G needs a dilogarithm), and a difference of neighbouring values is divided by a small step, so that
 * both must be accurate to the last digits. Each is its Taylor series about the nearest of 32 knots per unit of u: all
 * derivatives of tanh are polynomials in t = tanh u,
 *
 *     f' = s,  f'' = -2ts,  f''' = s(6t^2 - 2),  f'''' = st(16 - 24t^2),  f''''' = s(16 - 120t^2 + 120t^4),   s = 1 - t^2,
 *
 * and six terms at a distance of 1/64 leave 1e-11 of f, 2e-14 of F and less of G.
 *
 * Source: the series are derived; F in the overflow-free form of J. D. Parker, V. Zavalishin, E. Le Bivic, Proc.
 * DAFx-16, 2016.
 *
 * @module
 */
import { exp, log } from '../core/maths.ts';
import type { CurveIntegrals } from './clipping-curve.ts';
import { TANH_END, TANH_KNOTS, tanhKnots } from './precise-tanh.ts';

const LN_2 = 0.6931471805599453;
const G_END = 0.4112335167120566; // pi^2 / 24

/** The function that fills in tanh, F and G; it has a table of its own. */
export function tanhIntegrals(): CurveIntegrals {
  const f = tanhKnots();
  const first = f.map((_, k) => logOfCosh(k / TANH_KNOTS));
  const second = new Float64Array(f.length);
  for (let k = 1; k < f.length; k++) second[k] = second[k - 1] + integralOfStep(first, f, k);
  return (u, count, y, firstOfU, secondOfU) => {
    fill(f, first, second, u, count, y, firstOfU, secondOfU);
  };
}

/** ln cosh u for u >= 0. */
function logOfCosh(u: number): number {
  return u + log(0.5 + 0.5 * exp(-2 * u));
}

/** Integral of F between knots k - 1 and k, by Euler and Maclaurin: the next term of the series is below 1e-14. */
function integralOfStep(first: Float64Array, f: Float64Array, k: number): number {
  const h = 1 / TANH_KNOTS,
    [a, b] = [f[k - 1], f[k]];
  const curvature = (t: number): number => -2 * t * (1 - t * t);
  return (
    (h * (first[k - 1] + first[k])) / 2 + (h * h * (a - b)) / 12 - (h * h * h * h * (curvature(a) - curvature(b))) / 720
  );
}

function fill(
  tableOfF: Float64Array,
  tableOfFirst: Float64Array,
  tableOfSecond: Float64Array,
  u: Float64Array,
  count: number,
  f: Float64Array,
  first: Float64Array,
  second: Float64Array,
): void {
  for (let i = 0; i < count; i++) {
    const a = Math.abs(u[i]),
      sign = u[i] < 0 ? -1 : 1;
    if (a >= TANH_END) {
      f[i] = sign;
      first[i] = a - LN_2;
      second[i] = sign * (a * (a / 2 - LN_2) + G_END);
      continue;
    }
    const k = (a * TANH_KNOTS + 0.5) | 0;
    const d = a - k / TANH_KNOTS,
      t = tableOfF[k],
      z = t * t,
      s = 1 - z;
    const f1 = s,
      f2 = (-2 * t * s) / 2,
      f3 = (s * (6 * z - 2)) / 6,
      f4 = (s * t * (16 - 24 * z)) / 24,
      f5 = (s * (16 - 120 * z + 120 * z * z)) / 120;
    f[i] = sign * (t + d * (f1 + d * (f2 + d * (f3 + d * (f4 + d * f5)))));
    first[i] = tableOfFirst[k] + d * (t + d * (f1 / 2 + d * (f2 / 3 + d * (f3 / 4 + d * (f4 / 5 + (d * f5) / 6)))));
    second[i] =
      sign *
      (tableOfSecond[k] +
        d *
          (tableOfFirst[k] +
            d * (t / 2 + d * (f1 / 6 + d * (f2 / 12 + d * (f3 / 20 + d * (f4 / 30 + (d * f5) / 42)))))));
  }
}
