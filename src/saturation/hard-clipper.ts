/**
 * Hard clipper: cuts everything above the ceiling off, straight.
 *
 *     f(u) = u for |u| <= 1, else +-1
 *
 * Harmonics of a sine of amplitude A, with theta = arcsin(1/A):  b1 = (2/pi)(A theta + cos theta),  odd n from 3 on
 * bn = (4/pi)[(A/2)(sin((n-1) theta)/(n-1) - sin((n+1) theta)/(n+1)) + cos(n theta)/n]. Latency, ceiling and guard are
 * described in `clipper-shell.ts`.
 *
 * Source: Fourier series of the clipped sine, derived; U. Zoelzer (ed.), "DAFX: Digital Audio Effects", 2nd ed., Wiley
 * 2011, chapter on nonlinear processing (from memory), treats the same curve.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { ceilingRow, ClipperShell, driveRow, guardRow, mixRow, oversamplingRow } from './clipper-shell.ts';
import type { ClippingCurve } from './clipping-curve.ts';
import { hardCurve } from './curve-integrals.ts';
import { antialiasingRow } from './shaping.ts';

/** Parameters of a {@link HardClipper}. */
export const hardClipperParameters = {
  /** Gain in front of the curve. */
  driveDb: driveRow,
  /** Level that the curve never passes, in dBFS, at the high rate. */
  ceilingDb: ceilingRow,
  /** Times the sample rate at which the curve runs. */
  oversampling: oversamplingRow,
  /** What is done against harmonics that fold back, besides the oversampling. */
  antialiasing: antialiasingRow,
  /** Whether a second clip at the base rate keeps the clipped share below the ceiling, at the cost of some alias. */
  guard: guardRow,
  /** Share of the clipped signal in the output; the rest is the input, in time with it. */
  mixPercent: mixRow,
} as const satisfies ParameterTable;

/** Options of {@link HardClipper}; {@link hardClipperParameters} gives defaults, ranges and units. */
export type HardClipperOptions = ParameterOptions<typeof hardClipperParameters>;

/**
 * Clips straight, oversampled.
 *
 * @example
 * ```ts
 * import { HardClipper } from 'batterhead/saturation';
 *
 * const clipper = new HardClipper({ sampleRateHz: 48000, channels: 1 }, { ceilingDb: -3, oversampling: 8 });
 * const signal = Float32Array.from({ length: 960 }, (_, n) => Math.sin(n / 10));
 * clipper.process([signal], [signal]);
 * console.log(clipper.latencySamples); // whole samples, whatever the oversampling
 * ```
 */
export class HardClipper extends ClipperShell<typeof hardClipperParameters> {
  /** @throws TypeError or RangeError if an option is not as {@link hardClipperParameters} says. */
  constructor(format: StreamFormat, options: HardClipperOptions = {}) {
    super('HardClipper', hardClipperParameters, format, options);
  }

  protected override curveOf(): ClippingCurve {
    return hardCurve;
  }
}
