/**
 * Curves of the saturator: rising, of slope 1 at 0.
 *
 *     tanh         f(u) = tanh u                                         odd harmonics, falling fast
 *     algebraic    f(u) = u / sqrt(1 + u^2)                              odd harmonics; reaches its ceiling slowly
 *     cubic        f(u) = u - 4/27 u^3 for |u| <= 3/2, else +-1          third harmonic alone until it clips
 *     uneven       f(u) = tanh u for u >= 0, 2 tanh(u/2) for u < 0       even harmonics too: the lower half bends later
 *
 * The halves of the uneven curve agree in value, slope and curvature at 0.
 *
 * @module
 */
import { tanh } from '../core/maths.ts';
import { cubicClip } from './curves.ts';
import { preciseTanh } from './precise-tanh.ts';

/** A curve as numbers, and in place, within 2e-10 of them. */
export interface SaturationCurve {
  /** f(u). */
  readonly value: (u: number) => number;
  /** f'(u). */
  readonly slope: (u: number) => number;
  /** Makes the function by which u becomes f(u) in place; it may have a table of its own. */
  readonly inPlace: () => (u: Float64Array, count: number) => void;
}

/** Names of the curves. */
export type SaturationCurveName = 'tanh' | 'algebraic' | 'cubic' | 'uneven';

/** The curves by their names. */
export const saturationCurves: Readonly<Record<SaturationCurveName, SaturationCurve>> = {
  tanh: { value: tanh, slope: slopeOfTanh, inPlace: preciseTanh },
  algebraic: { value: algebraic, slope: slopeOfAlgebraic, inPlace: () => algebraicInPlace },
  cubic: { value: cubicClip, slope: slopeOfCubic, inPlace: () => cubicInPlace },
  uneven: { value: uneven, slope: (u) => slopeOfTanh(u < 0 ? u / 2 : u), inPlace: preciseUneven },
};

function slopeOfTanh(u: number): number {
  const t = tanh(u);
  return (1 - t) * (1 + t);
}

function algebraic(u: number): number {
  return u / Math.sqrt(1 + u * u);
}

function slopeOfAlgebraic(u: number): number {
  const s = 1 + u * u;
  return 1 / (s * Math.sqrt(s));
}

function slopeOfCubic(u: number): number {
  return Math.abs(u) < 1.5 ? 1 - (4 / 9) * u * u : 0;
}

function uneven(u: number): number {
  return u < 0 ? 2 * tanh(u / 2) : tanh(u);
}

function algebraicInPlace(u: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) u[i] /= Math.sqrt(1 + u[i] * u[i]);
}

function cubicInPlace(u: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) u[i] = cubicClip(u[i]);
}

function preciseUneven(): (u: Float64Array, count: number) => void {
  const tanhInPlace = preciseTanh();
  return (u, count) => {
    for (let i = 0; i < count; i++) if (u[i] < 0) u[i] /= 2;
    tanhInPlace(u, count);
    for (let i = 0; i < count; i++) if (u[i] < 0) u[i] *= 2;
  };
}
