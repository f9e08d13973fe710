/**
 * Windowed sinc: the simulator's own band limit and fractional delay.
 *
 *     h(x) = 2 c sinc(2 c x) I0(beta sqrt(1 - (x / W)^2)) / I0(beta),   |x| < W
 *
 * with x in samples from the centre, c the cut-off in cycles per sample and W the half width. Evaluated at whole
 * numbers minus a fraction it delays by that fraction. The window's transform is a main lobe of half width
 * sqrt(1 + (beta / pi)^2) / (2 W) cycles per sample and side lobes about 8.7 + beta / 0.1102 dB down.
 *
 * Source: J. F. Kaiser, "Nonrecursive digital filter design using the I0-sinh window function", Proc. IEEE ISCAS 1974.
 * The alignment and filter code has kernels of its own; this one shares nothing with them, so that it can judge them.
 *
 * @module
 */
import { sin } from '../core/maths.ts';

/** Shape of a {@link SincKernel}. */
export interface SincShape {
  /** Cut-off (-6 dB) in cycles per sample, at most 0.5. */
  readonly cutoffCycles: number;
  /** Half width W in samples. */
  readonly halfWidthSamples: number;
  /** Kaiser's beta. */
  readonly beta: number;
}

/**
 * Fractional delay for signals below 20/48 of the sample rate: the main lobe spans 0.067 cycles per sample, the
 * distance to the mirror image at 28/48 is 2 x 0.083, and the error stays below -160 dB.
 */
export const delayShape: SincShape = { cutoffCycles: 0.5, halfWidthSamples: 48, beta: 20 };

/**
 * Band limit of everything struck: flat to 18/48 of the sample rate, at least 110 dB down from 20/48 (18 and
 * 20 kHz at 48 kHz), so that fractional delays and true peaks are well defined.
 */
export const bandLimitShape: SincShape = { cutoffCycles: 19 / 48, halfWidthSamples: 96, beta: 12.4 };

/** Adds kernels centred between samples. */
export class SincKernel {
  readonly #shape: SincShape;
  readonly #peak: number;

  constructor(shape: SincShape) {
    this.#shape = shape;
    this.#peak = besselI0(shape.beta);
  }

  /** h(x), x in samples from the centre. */
  at(x: number): number {
    const { cutoffCycles, halfWidthSamples, beta } = this.#shape;
    const reach = x / halfWidthSamples;
    if (reach <= -1 || reach >= 1) return 0;
    const window = besselI0(beta * Math.sqrt(1 - reach * reach)) / this.#peak;
    const turn = 2 * Math.PI * cutoffCycles * x;
    return window * 2 * cutoffCycles * (turn === 0 ? 1 : sin(turn) / turn);
  }

  /** The samples of h around `position` (a fraction of a sample from 0 to 1), index 0 at floor(position) - W + 1. */
  around(fraction: number): Float64Array {
    const { halfWidthSamples } = this.#shape;
    const samples = new Float64Array(2 * halfWidthSamples);
    for (let i = 0; i < samples.length; i++) samples[i] = this.at(i - halfWidthSamples + 1 - fraction);
    return samples;
  }
}

/** Modified Bessel function of the first kind, order 0, by its power series. */
function besselI0(x: number): number {
  const quarter = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let k = 1; term > sum * 1e-17; k++) {
    term *= quarter / (k * k);
    sum += term;
  }
  return sum;
}
