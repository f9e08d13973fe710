/**
 * Soft clipper: bends towards the ceiling before it is reached.
 *
 *     cubic   f(u) = u - 4/27 u^3 for |u| <= 3/2, else +-1        third harmonic alone until it clips
 *     tanh    f(u) = tanh u                                       all odd harmonics, falling fast
 *
 * Both have slope 1 at 0, so a quiet signal passes as it is. Latency, ceiling and guard are described in
 * `clipper-shell.ts`.
 *
 * Source: the cubic is the usual waveshaping polynomial, scaled; its harmonics h1 = A - A^3/9, h3 = A^3/27 for
 * A <= 3/2 follow from sin^3 t = (3 sin t - sin 3t)/4.
 *
 * @module
 */
import { refuse } from '../core/check.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { ceilingRow, ClipperShell, driveRow, guardRow, mixRow, oversamplingRow } from './clipper-shell.ts';
import type { ClippingCurve } from './clipping-curve.ts';
import { cubicCurve, tanhCurve } from './curve-integrals.ts';
import { antialiasingRow } from './shaping.ts';

/** Parameters of a {@link SoftClipper}. */
export const softClipperParameters = {
  /** Gain in front of the curve. */
  driveDb: driveRow,
  /** Level that the curve never passes, in dBFS, at the high rate. */
  ceilingDb: ceilingRow,
  /** Times the sample rate at which the curve runs. */
  oversampling: oversamplingRow,
  /** What is done against harmonics that fold back, besides the oversampling. `cornerCorrection` needs the cubic curve. */
  antialiasing: antialiasingRow,
  /** Whether a second clip at the base rate keeps the clipped share below the ceiling, at the cost of some alias. */
  guard: guardRow,
  /** Share of the clipped signal in the output; the rest is the input, in time with it. */
  mixPercent: mixRow,
  /** Shape of the bend. */
  curve: { default: 'tanh', choices: ['cubic', 'tanh'], fixed: true },
} as const satisfies ParameterTable;

/** Options of {@link SoftClipper}; {@link softClipperParameters} gives defaults, ranges and units. */
export type SoftClipperOptions = ParameterOptions<typeof softClipperParameters>;
type Values = ParameterValues<typeof softClipperParameters>;

/**
 * Clips softly, oversampled.
 *
 * @example
 * ```ts
 * import { SoftClipper } from 'batterhead/saturation';
 *
 * const bus = new SoftClipper({ sampleRateHz: 48000, channels: 2 }, { driveDb: 3, curve: 'tanh', oversampling: 4 });
 * const [left, right] = [new Float32Array(512), new Float32Array(512)];
 * bus.process([left, right], [left, right]);
 * ```
 */
export class SoftClipper extends ClipperShell<typeof softClipperParameters> {
  /** @throws TypeError or RangeError if an option is not as {@link softClipperParameters} says. */
  constructor(format: StreamFormat, options: SoftClipperOptions = {}) {
    super('SoftClipper', softClipperParameters, format, options);
  }

  protected override requireTogether(values: Values, prefix: string): void {
    requireCorner(prefix, values);
  }

  protected override curveOf({ curve }: Values): ClippingCurve {
    return curve === 'cubic' ? cubicCurve : tanhCurve;
  }
}

/** @throws RangeError if a corner is to be corrected where there is none; `prefix` begins the message */
export function requireCorner(prefix: string, values: object): void {
  const { curve, antialiasing } = values as Values;
  if (curve === 'tanh' && antialiasing === 'cornerCorrection') {
    refuse(`${prefix}antialiasing`, 'another with the tanh curve, which has no corner', antialiasing);
  }
}
