/**
 * Linear-phase filters by the window method: an ideal low-pass, cut to finite length by a Kaiser window.
 *
 *     h(t) = 2 fc sinc(2 fc t) I0(beta sqrt(1 - (t/T)^2)) / I0(beta)   for |t| <= T, else 0
 *
 * t in samples, fc in cycles per sample, sinc(x) = sin(pi x) / (pi x). beta sets the attenuation, T the width of the
 * transition. The kernel is a function of continuous time: sampled at t = n - T it is a low-pass, at t = n - delay a
 * fractional delay, at the phases of a conversion ratio a resampler.
 *
 * Source: J. F. Kaiser, 1974, as given in A. V. Oppenheim, R. W. Schafer, "Discrete-Time Signal Processing", section on
 * FIR design by the Kaiser window (from memory).
 *
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
import { pow, sin } from '../core/maths.ts';
import { besselI0, kaiser } from '../core/windows.ts';

/** Kaiser's beta for a stop band of `attenuationDb` (0 to 300): below 21 dB no window is needed and beta is 0. */
export function kaiserBeta(attenuationDb: number): number {
  const a = requireRange('kaiserBeta: attenuationDb', attenuationDb, 0, 300);
  if (a > 50) return 0.1102 * (a - 8.7);
  return a < 21 ? 0 : 0.5842 * pow(a - 21, 0.4) + 0.07886 * (a - 21);
}

/**
 * Order M (length M + 1), rounded up, of a filter with `attenuationDb` (8 to 300) in the stop band and a transition of
 * `transitionRadians` per sample (1e-6 to pi). An estimate that can miss by a tap or two: measure the result.
 */
export function kaiserOrder(attenuationDb: number, transitionRadians: number): number {
  const a = requireRange('kaiserOrder: attenuationDb', attenuationDb, 8, 300);
  const width = requireRange('kaiserOrder: transitionRadians', transitionRadians, 1e-6, Math.PI);
  return Math.ceil((a - 7.95) / (2.285 * width));
}

/** A low-pass kernel in continuous time. */
export interface KernelOptions {
  /** Middle of the transition, -6 dB: 1e-6 to 0.5 (half the sample rate). */
  readonly cutoffCyclesPerSample: number;
  /** T above: the kernel is 0 further away than this. */
  readonly halfWidthSamples: number;
  /** From {@link kaiserBeta}. */
  readonly beta: number;
}

/**
 * The kernel h(t) as a function of t in samples. With the cut-off at 0.5 it is exactly 1 at 0 and exactly 0 at every
 * other whole t. For building tables: each call costs a Bessel function and a sine.
 */
export function windowedSinc(options: KernelOptions): (offsetSamples: number) => number {
  const width = 2 * requireRange('windowedSinc: cutoffCyclesPerSample', options.cutoffCyclesPerSample, 1e-6, 0.5);
  const reach = requireRange('windowedSinc: halfWidthSamples', options.halfWidthSamples, 0.5, 1e6);
  const beta = requireRange('windowedSinc: beta', options.beta, 0, 50);
  const peak = besselI0(beta);
  return (offsetSamples) => {
    const x = offsetSamples / reach;
    if (Math.abs(x) > 1) return 0;
    return (width * sinc(width * offsetSamples) * besselI0(beta * Math.sqrt(1 - x * x))) / peak;
  };
}

/** A low-pass of finite length. */
export interface LowpassTapsOptions {
  /** Number of taps, 2 to 1e6; odd gives a delay of whole samples, (length - 1) / 2. */
  readonly length: number;
  /** Middle of the transition, -6 dB: 1e-6 to 0.5 (half the sample rate). */
  readonly cutoffCyclesPerSample: number;
  /** From {@link kaiserBeta}. */
  readonly beta: number;
}

/** Symmetric low-pass taps, scaled to a gain of exactly 1 (0 dB) at DC. */
export function lowpassTaps({ length, cutoffCyclesPerSample, beta }: LowpassTapsOptions): Float64Array {
  requireInteger('lowpassTaps: length', length, 2, 1e6);
  const middle = (length - 1) / 2;
  const kernel = windowedSinc({ cutoffCyclesPerSample, halfWidthSamples: middle, beta });
  const taps = Float64Array.from({ length }, (_, n) => kernel(n - middle));
  const sum = taps.reduce((total, tap) => total + tap, 0);
  return taps.map((tap) => tap / sum);
}

/**
 * Half-band low-pass taps, for doubling or halving a sample rate: h[n] = 0.5 sinc(m/2) kaiser, m = n - (length - 1)/2.
 * The middle tap is exactly 0.5 and every other even m exactly 0, so the response is exactly 0.5 at a quarter of the
 * sample rate and H(f) + H(1/2 - f) = 1. Not scaled further, since that would break both.
 *
 * @param options - `length` 4k - 1 (3, 7, 11, ... 4095), `beta` from {@link kaiserBeta}
 */
export function halfBandTaps({ length, beta }: { readonly length: number; readonly beta: number }): Float64Array {
  requireInteger('halfBandTaps: length', length, 3, 4095);
  if (length % 4 !== 3) throw new RangeError(`halfBandTaps: length must be 4k - 1 (3, 7, 11, ...), got ${length}`);
  const middle = (length - 1) / 2;
  const window = kaiser(length, requireRange('halfBandTaps: beta', beta, 0, 50));
  return window.map((w, n) => {
    const m = n - middle;
    if (m === 0) return 0.5;
    // sin(pi m / 2) is 0 for even m, and for odd m alternates: 1 at m = 1, -1 at 3, and so on.
    return m % 2 === 0 ? 0 : ((Math.abs(m) % 4 === 1 ? 1 : -1) / (Math.PI * Math.abs(m))) * w;
  });
}

/** sin(pi x) / (pi x); exactly 0 at whole x other than 0, and accurate beside them: the whole part is taken out first. */
function sinc(x: number): number {
  const whole = Math.round(x);
  if (x === whole) return x === 0 ? 1 : 0;
  const sine = sin(Math.PI * (x - whole));
  return (whole % 2 === 0 ? sine : -sine) / (Math.PI * x);
}
