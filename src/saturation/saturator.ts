/**
 * Saturator: bends a signal, symmetrically or not, and holds its level while the drive moves.
 *
 *     x -> tilt -> up -> s(g x) -> down -> DC block -> tilt back -> level -> with the dry signal -> y
 *
 *     s        the curve at its operating point: bias, and even harmonics against odd ones (`operating-point.ts`)
 *     tilt     T dB between lows and highs around a corner, one half up and the other down: what is lifted is driven harder
 *     level    the gain that leaves a hit of a stated level as loud as it was, or 1 / g for a quiet signal without it
 *
 * The tilt back is the exact inverse: below the bend, and while nothing glides, the two cancel. A quiet signal passes as it
 * is but for its level. The level match knows the drive and a stated level, not the signal: measure the rest with
 * `matchLoudness` and set it as `outputGainDb`.
 *
 * Source: the structure of pre-emphasis, curve and de-emphasis is common practice; U. Zoelzer (ed.), "DAFX: Digital Audio
 * Effects", 2nd ed., Wiley 2011, chapter on nonlinear processing (from memory).
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { DryWet } from '../core/dry-wet.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import type { BiquadCoefficients } from '../filters/biquad-coefficients.ts';
import { BiquadKernel } from '../filters/biquad-kernel.ts';
import { dcBlockerParameters } from '../filters/dc-blocker.ts';
import { firstOrderHighpass, firstOrderHighShelf } from '../filters/first-order-design.ts';
import { Oversampler } from '../filters/oversampler.ts';
import { tailOfSections } from '../filters/stability.ts';
import { mixRow, oversamplingRow } from './clipper-shell.ts';
import { levelMatchGain, operatingPoint } from './operating-point.ts';
import { type SaturationCurve, saturationCurves } from './saturation-curves.ts';

/** Parameters of a {@link Saturator}. */
export const saturatorParameters = {
  /** Gain in front of the curve. */
  driveDb: { default: 12, min: -24, max: 48 },
  /** Shape of the bend. */
  curve: { default: 'tanh', choices: ['tanh', 'algebraic', 'cubic', 'uneven'], fixed: true },
  /** Shift of the operating point, in percent of the curve's ceiling: bends one half of the signal sooner. */
  biasPercent: { default: 0, min: -100, max: 100 },
  /** Weight of the even harmonics that curve and bias make: 0 is none of them, 100 as many as come, 200 twice as many. */
  evenPercent: { default: 100, min: 0, max: 200 },
  /** Highs over lows in front of the curve; taken back behind it. */
  tiltDb: { default: 0, min: -18, max: 18 },
  /** Where the tilt turns: highs above, lows below. */
  tiltHz: { default: 1000, min: 50, max: 'nyquist', taper: 'log' },
  /** Where the gain of the DC block behind the curve is -3.01 dB. */
  dcCornerHz: dcBlockerParameters.cornerHz,
  /** Whether the output is held at the input's level for a hit of `hitLevelDb`. */
  levelMatch: { default: true },
  /** Peak level of the hits for which the level match holds, in dBFS. */
  hitLevelDb: { default: -6, min: -60, max: 12 },
  /** Gain behind everything but the dry share. */
  outputGainDb: { default: 0, min: -48, max: 48 },
  /** Times the sample rate at which the curve runs. */
  oversampling: oversamplingRow,
  /** Share of the saturated signal in the output; the rest is the input, in time with it. */
  mixPercent: mixRow,
} as const satisfies ParameterTable;

/** Options of {@link Saturator}; {@link saturatorParameters} gives defaults, ranges and units. */
export type SaturatorOptions = ParameterOptions<typeof saturatorParameters>;

const DRIVE = 0,
  BIAS = 1,
  P = 2,
  Q = 3,
  R = 4,
  WET_SHARE = 5,
  GAIN = 6, // of a quiet signal but for the curve's slope: drive times level, so that both glide together
  TILT = 7, // five coefficients of the tilt, then ten of the two sections behind
  BEHIND = 12,
  END = 22;

/**
 * Bends all channels alike, oversampled.
 *
 * @example
 * ```ts
 * import { Saturator } from 'batterhead/saturation';
 *
 * const drum = new Saturator({ sampleRateHz: 48000, channels: 1 }, { driveDb: 12, curve: 'uneven' });
 * const signal = Float32Array.from({ length: 960 }, (_, n) => 0.5 * Math.sin(n / 10));
 * drum.process([signal], [signal]); // about as loud as before
 * drum.set({ driveDb: 18 });
 * ```
 */
export class Saturator extends ParameterShell<typeof saturatorParameters> {
  readonly #curve: ReturnType<SaturationCurve['inPlace']>;
  readonly #factor: number;
  readonly #oversamplers: readonly Oversampler[];
  readonly #tilt: BiquadKernel;
  readonly #behind: BiquadKernel;
  readonly #dryWet: DryWet;
  readonly #other: Float64Array; // the signal from the other side of the operating point

  /** @throws TypeError or RangeError if an option is not as {@link saturatorParameters} says. */
  constructor(format: StreamFormat, options: SaturatorOptions = {}) {
    super('Saturator', saturatorParameters, format, options);
    const { channels } = this.format;
    const factor = this.values.oversampling;
    this.#curve = saturationCurves[this.values.curve].inPlace();
    this.#factor = factor;
    this.#tilt = this.own(new BiquadKernel(1, channels));
    this.#oversamplers = Array.from({ length: channels }, () => this.own(new Oversampler(factor, 0, format.simd)));
    this.#behind = this.own(new BiquadKernel(2, channels));
    const { latencySamples } = this.#oversamplers[0];
    this.#dryWet = this.own(new DryWet(channels, latencySamples));
    this.#other = new Float64Array(BLOCK * factor);
    this.begin(latencySamples);
  }

  /** The oversampler's answer ends as long after its middle as it began before; the filters' poles bound the rest. */
  override get tailSamples(): number {
    return this.latencySamples + tailOfSections(Float64Array.from(this.design(this.values).slice(TILT, END)));
  }

  protected override design(values: ParameterValues<typeof saturatorParameters>): readonly number[] {
    const { sampleRateHz } = this.format;
    const curve = saturationCurves[values.curve];
    const drive = dbToGain(values.driveDb);
    const point = operatingPoint(curve, values.biasPercent / 100, values.evenPercent / 100);
    const match = values.levelMatch ? levelMatchGain(curve, point, drive, dbToGain(values.hitLevelDb)) : 1 / drive;
    const shelf = { sampleRateHz, frequencyHz: values.tiltHz };
    const tilt = (gainDb: number): readonly number[] =>
      coefficientsOf(firstOrderHighShelf({ ...shelf, gainDb }), dbToGain(-gainDb / 2));
    return [
      drive,
      point.bias,
      point.p,
      point.q,
      point.r,
      values.mixPercent / 100,
      drive * match * dbToGain(values.outputGainDb),
      ...tilt(values.tiltDb),
      ...coefficientsOf(firstOrderHighpass({ sampleRateHz, frequencyHz: values.dcCornerHz }), 1),
      ...tilt(-values.tiltDb),
    ];
  }

  protected override onGrid(): void {
    this.#tilt.flush();
    this.#behind.flush();
  }

  protected override advance(x: Float64Array[], count: number): void {
    const k = this.k,
      tilt = this.#tilt,
      behind = this.#behind;
    for (let i = TILT; i < BEHIND; i++) tilt.coefficients[i - TILT] = k[i];
    for (let i = BEHIND; i < END; i++) behind.coefficients[i - BEHIND] = k[i];
    this.#dryWet.keep(x, count);
    tilt.run(x, count);
    for (let c = 0; c < x.length; c++) {
      const oversampler = this.#oversamplers[c];
      bend(oversampler.up(x[c], count), this.#other, count * this.#factor, k, this.#curve);
      oversampler.down(x[c], count);
    }
    behind.run(x, count);
    this.#dryWet.mix(x, count, k, WET_SHARE);
  }
}

/** y = l (p f(b + g y) - q f(b - g y) - r), in place; the level l is the gain of a quiet signal over the drive g. */
function bend(
  y: Float64Array,
  other: Float64Array,
  count: number,
  k: Float64Array,
  curve: (u: Float64Array, count: number) => void,
): void {
  const drive = k[DRIVE],
    bias = k[BIAS],
    level = k[GAIN] / drive,
    p = k[P] * level,
    q = k[Q] * level,
    r = k[R] * level;
  if (q !== 0) {
    for (let i = 0; i < count; i++) other[i] = bias - drive * y[i];
    curve(other, count);
  }
  for (let i = 0; i < count; i++) y[i] = bias + drive * y[i];
  curve(y, count);
  if (q === 0) for (let i = 0; i < count; i++) y[i] = p * y[i] - r;
  else for (let i = 0; i < count; i++) y[i] = p * y[i] - q * other[i] - r;
}

function coefficientsOf({ b0, b1, b2, a1, a2 }: BiquadCoefficients, gain: number): readonly number[] {
  return [b0 * gain, b1 * gain, b2 * gain, a1, a2];
}
