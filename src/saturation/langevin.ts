/**
 * Langevin's function, the magnetisation of a material without friction, in units of its saturation.
 *
 *     L(x) = coth x - 1/x,    L'(x) = 1/x^2 - 1/sinh^2 x
 *
 * As a table for work per sample: cubics between 16 knots per unit, which meet L and L' at the knots, so that the curve is
 * smooth (within 6e-9 of L, 3e-7 of L'). Beyond 32, coth is 1.
 *
 * Source: D. C. Jiles, D. L. Atherton, "Theory of Ferromagnetic Hysteresis", Journal of Magnetism and Magnetic Materials
 * 61, 1986, where it is the anhysteretic magnetisation.
 *
 * @module
 */
import { sinh, tanh } from '../core/maths.ts';

/** Knots per unit of x. */
export const LANGEVIN_KNOTS = 16;

/** Where the table ends; from there on L(x) = 1 - 1/x. */
export const LANGEVIN_END = 32;

/** L(x), odd. Near 0 by its series, because the two terms of the closed form cancel there. */
export function langevin(x: number): number {
  const z = x * x;
  if (z < 0.04) return x * (1 / 3 - z * (1 / 45 - z * (2 / 945 - z * (1 / 4725 - z * (2 / 93555 - z * 2.1644e-6)))));
  return 1 / tanh(x) - 1 / x;
}

/** L'(x), even. */
export function langevinSlope(x: number): number {
  const z = x * x;
  if (z < 0.04) return 1 / 3 - z * (1 / 15 - z * (2 / 189 - z * (1 / 675 - z * (2 / 10395 - z * 2.38084e-5))));
  const s = sinh(x);
  return 1 / z - 1 / (s * s);
}

/** L and L' / 16 at every knot from 0 up: value, slope, value, slope ... */
export function langevinTable(): Float64Array {
  const knots = LANGEVIN_KNOTS * LANGEVIN_END + 1;
  return Float64Array.from({ length: 2 * knots }, (_, i) => {
    const x = (i >> 1) / LANGEVIN_KNOTS;
    return i % 2 === 0 ? langevin(x) : langevinSlope(x) / LANGEVIN_KNOTS;
  });
}
