/**
 * Antiderivative forms: in place of the curve at each sample, its mean over the way between samples, which folds back
 * less because a mean is a low-pass before the sampling.
 *
 *     F' = f, G' = F                         F(a) - F(b)
 *     first order     y[n] = F[u0, u1],      -----------  = mean of f over a straight way from a to b
 *                                               a - b
 *     second order    y[n] = 2 G[u0, u1, u2],      the divided difference of G at the last three samples
 *
 * A divided difference does not mind the order of its points. Sorted, a <= b <= c, the differences in the denominators
 * are as large as they can be; where they are small all the same, or where the curve is flat, f itself takes the place
 * of the quotient: with rounding errors of 1e-16 and steps below 1e-5 that is the more accurate of the two.
 *
 * On a linear curve the forms are the averages (u0 + u1)/2 and (u0 + u1 + u2)/3, late by 1/2 and 1 sample.
 * `average-loss.ts` completes the half sample and gives back what the averages take from the highs.
 *
 * Source: J. D. Parker, V. Zavalishin, E. Le Bivic, "Reducing the Aliasing of Nonlinear Waveshaping Using
 * Continuous-Time Convolution", Proc. DAFx-16, 2016 (first order); S. Bilbao, F. Esqueda, J. D. Parker, V. Valimaki,
 * "Antiderivative Antialiasing for Memoryless Nonlinearities", IEEE Signal Processing Letters 24(7), 2017 (second order;
 * from memory). The sorting is ours.
 *
 * @module
 */
import { DirectFir } from '../filters/direct-fir.ts';
import { lossTaps } from './average-loss.ts';
import type { ClippingCurve, CurveIntegrals, Shaping } from './clipping-curve.ts';

/** One channel through an antiderivative form, and through the filter that completes it. */
export class AntiderivativeForm implements Shaping {
  readonly state: readonly Float64Array[];
  readonly latencySamples: number;
  readonly #order: 1 | 2;
  readonly #integrals: CurveIntegrals;
  readonly #past: Float64Array; // the last one or two u
  readonly #u: Float64Array;
  readonly #f: Float64Array;
  readonly #first: Float64Array;
  readonly #second: Float64Array;
  readonly #loss: DirectFir | undefined;

  constructor(curve: ClippingCurve, order: 1 | 2, factor: number, longest: number) {
    const taps = lossTaps(order, factor);
    this.#order = order;
    this.#integrals = curve.integrals();
    this.#past = new Float64Array(order);
    [this.#u, this.#f, this.#first, this.#second] = Array.from({ length: 4 }, () => new Float64Array(order + longest));
    this.#loss = taps.length > 1 ? new DirectFir(taps, longest) : undefined;
    this.latencySamples = (order + taps.length - 1) / 2;
    this.state = [this.#past, ...(this.#loss?.state ?? [])];
  }

  reset(): void {
    this.#past.fill(0);
    this.#loss?.reset();
  }

  run(y: Float64Array, count: number, k: Float64Array): void {
    const order = this.#order,
      past = this.#past,
      u = this.#u,
      f = this.#f,
      gain = k[0],
      ceiling = k[1];
    for (let i = 0; i < order; i++) u[i] = past[i];
    for (let i = 0; i < count; i++) u[order + i] = gain * y[i];
    for (let i = 0; i < order; i++) past[i] = u[count + i];
    this.#integrals(u, order + count, f, this.#first, this.#second);
    if (order === 1) firstOrder(u, f, this.#first, count, y);
    else secondOrder(u, f, this.#first, this.#second, count, y);
    for (let i = 0; i < count; i++) y[i] *= ceiling;
    this.#loss?.run(y, count);
  }
}

/** Bare form, for a signal at one rate and silence before it: y[n] belongs to n - 1/2 (order 1) or n - 1 (order 2). */
export function antiderivativeForm(curve: ClippingCurve, order: 1 | 2, signal: Float64Array): Float64Array {
  const count = signal.length,
    u = new Float64Array(order + count),
    y = new Float64Array(count);
  u.set(signal, order);
  const [f, first, second] = [u.slice(), u.slice(), u.slice()];
  curve.integrals()(u, u.length, f, first, second);
  if (order === 1) firstOrder(u, f, first, count, y);
  else secondOrder(u, f, first, second, count, y);
  return y;
}

/** y[i] = (F[i+1] - F[i]) / (u[i+1] - u[i]). */
function firstOrder(u: Float64Array, f: Float64Array, first: Float64Array, count: number, y: Float64Array): void {
  for (let i = 0; i < count; i++) {
    const step = u[i + 1] - u[i];
    const still = Math.abs(step) < 1e-5 || f[i] === f[i + 1];
    y[i] = still ? (f[i] + f[i + 1]) / 2 : (first[i + 1] - first[i]) / step;
  }
}

/** y[i] = 2 G[u[i], u[i+1], u[i+2]]. */
function secondOrder(
  u: Float64Array,
  f: Float64Array,
  first: Float64Array,
  second: Float64Array,
  count: number,
  y: Float64Array,
): void {
  for (let i = 0; i < count; i++) {
    // Indices of the smallest, the middle and the largest u.
    const rises = u[i] <= u[i + 1];
    const smaller = rises ? i : i + 1,
      larger = rises ? i + 1 : i;
    const a = u[i + 2] < u[smaller] ? i + 2 : smaller,
      c = u[i + 2] > u[larger] ? i + 2 : larger,
      b = 3 * i + 3 - a - c;
    const spread = u[c] - u[a];
    if (spread < 6e-4 || f[c] - f[a] < 1e-8) {
      y[i] = (f[a] + f[b] + f[c]) / 3;
      continue;
    }
    const low = u[b] - u[a],
      high = u[c] - u[b],
      least = 1e-5 * (1 + Math.abs(u[b]));
    const below = low < least ? (first[a] + first[b]) / 2 : (second[b] - second[a]) / low,
      above = high < least ? (first[b] + first[c]) / 2 : (second[c] - second[b]) / high;
    y[i] = (2 * (above - below)) / spread;
  }
}
