/**
 * Hysteresis: the magnetisation of a core or a tape without bias, which lags behind the field that makes it.
 *
 *     x -> up -> H = g x -> Jiles-Atherton equation -> y = (3 / g) M -> down -> DC block -> with the dry signal
 *
 * Langevin's function has the slope 1/3 at 0, hence the 3: without friction, y = x while it is quiet. Friction holds small
 * fields back: of a quiet signal only the reversible share passes, of a loud one more and more until the material
 * saturates. So tails sink under hits, and what is left of a hit depends on the one before. The magnetisation that stays
 * when the field is gone is taken out by the DC block.
 *
 * Equation, solver and sources are described in `magnetisation.ts`.
 *
 * @module
 */
import { refuse } from '../core/check.ts';
import { dbToGain } from '../core/decibels.ts';
import { DryWet } from '../core/dry-wet.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { BiquadKernel } from '../filters/biquad-kernel.ts';
import { dcBlockerParameters } from '../filters/dc-blocker.ts';
import { firstOrderHighpass } from '../filters/first-order-design.ts';
import { Oversampler } from '../filters/oversampler.ts';
import { tailOfSections } from '../filters/stability.ts';
import { mixRow, oversamplingRow } from './clipper-shell.ts';
import { langevinTable } from './langevin.ts';
import { COUPLING, Magnetisation, PINNING, REVERSIBLE } from './magnetisation.ts';

/** Parameters of a {@link Hysteresis}. The defaults are near those published for tape: c = 17 %, k / a = 1.23. */
export const hysteresisParameters = {
  /** Field that a sample of 0 dBFS makes, over the shape parameter a of the material. */
  driveDb: { default: 12, min: -24, max: 48 },
  /** Share c of the magnetisation that bends without friction, and so passes of a quiet signal. */
  reversiblePercent: { default: 17, min: 0, max: 90 },
  /** Half width k of the loop, in units of a: how much field it takes to move on. */
  pinning: { default: 1.2, min: 0.2, max: 5 },
  /** Mean field alpha, in units of a / Ms: how much magnetised domains help each other; below 0.45 (1 - c) k. */
  coupling: { default: 0.025, min: 0, max: 2 },
  /** Where the gain of the DC block behind the material is -3.01 dB. */
  dcCornerHz: dcBlockerParameters.cornerHz,
  /** Gain behind everything but the dry share. */
  outputGainDb: { default: 0, min: -48, max: 48 },
  /** Times the sample rate at which the equation is solved. */
  oversampling: oversamplingRow,
  /** Share of the magnetised signal in the output; the rest is the input, in time with it. */
  mixPercent: mixRow,
} as const satisfies ParameterTable;

/** Options of {@link Hysteresis}; {@link hysteresisParameters} gives defaults, ranges and units. */
export type HysteresisOptions = ParameterOptions<typeof hysteresisParameters>;
type Values = ParameterValues<typeof hysteresisParameters>;

const FIELD = 3, // behind the three constants of the material
  GAIN = 4, // field times level, so that both glide together
  WET_SHARE = 5,
  DC_BLOCK = 6,
  END = 11;

/**
 * Magnetises a material per channel, oversampled.
 *
 * @example
 * ```ts
 * import { Hysteresis } from 'batterhead/saturation';
 *
 * const tape = new Hysteresis({ sampleRateHz: 48000, channels: 1 }, { driveDb: 9 });
 * const signal = Float32Array.from({ length: 960 }, (_, n) => 0.5 * Math.sin(n / 10));
 * tape.process([signal], [signal]);
 * ```
 */
export class Hysteresis extends ParameterShell<typeof hysteresisParameters> {
  readonly #factor: number;
  readonly #oversamplers: readonly Oversampler[];
  readonly #materials: readonly Magnetisation[];
  readonly #dcBlock: BiquadKernel;
  readonly #dryWet: DryWet;

  /** @throws TypeError or RangeError if an option is not as {@link hysteresisParameters} says. */
  constructor(format: StreamFormat, options: HysteresisOptions = {}) {
    super('Hysteresis', hysteresisParameters, format, options);
    const { channels } = this.format;
    const factor = this.values.oversampling,
      table = langevinTable();
    this.#factor = factor;
    this.#oversamplers = Array.from({ length: channels }, () => this.own(new Oversampler(factor, 0, format.simd)));
    this.#materials = Array.from({ length: channels }, () => this.own(new Magnetisation(table)));
    this.#dcBlock = this.own(new BiquadKernel(1, channels));
    const { latencySamples } = this.#oversamplers[0];
    this.#dryWet = this.own(new DryWet(channels, latencySamples));
    this.begin(latencySamples);
  }

  /** When the field is gone the magnetisation stays, and the DC block takes it out. */
  override get tailSamples(): number {
    return this.latencySamples + tailOfSections(Float64Array.from(this.design(this.values).slice(DC_BLOCK, END)));
  }

  protected override requireTogether(values: Values, prefix: string): void {
    requireFriction(prefix, values);
  }

  protected override design(values: Values): readonly number[] {
    const { sampleRateHz } = this.format;
    const drive = dbToGain(values.driveDb);
    const { b0, b1, b2, a1, a2 } = firstOrderHighpass({ sampleRateHz, frequencyHz: values.dcCornerHz });
    const k = new Array<number>(DC_BLOCK);
    k[PINNING] = values.pinning;
    k[REVERSIBLE] = values.reversiblePercent / 100;
    k[COUPLING] = values.coupling;
    k[FIELD] = drive;
    k[GAIN] = 3 * dbToGain(values.outputGainDb);
    k[WET_SHARE] = values.mixPercent / 100;
    return [...k, b0, b1, b2, a1, a2];
  }

  protected override onGrid(): void {
    this.#dcBlock.flush();
  }

  protected override advance(x: Float64Array[], count: number): void {
    const k = this.k,
      dcBlock = this.#dcBlock,
      field = k[FIELD],
      level = k[GAIN] / field,
      length = count * this.#factor;
    for (let i = DC_BLOCK; i < END; i++) dcBlock.coefficients[i - DC_BLOCK] = k[i];
    this.#dryWet.keep(x, count);
    for (let c = 0; c < x.length; c++) {
      const oversampler = this.#oversamplers[c],
        y = oversampler.up(x[c], count);
      for (let i = 0; i < length; i++) y[i] *= field;
      this.#materials[c].run(y, length, k);
      for (let i = 0; i < length; i++) y[i] *= level;
      oversampler.down(x[c], count);
    }
    dcBlock.run(x, count);
    this.#dryWet.mix(x, count, k, WET_SHARE);
  }
}

/** @throws RangeError if domains help each other more than friction holds them; `prefix` begins the message */
export function requireFriction(prefix: string, values: object): void {
  const { coupling, pinning, reversiblePercent } = values as Values;
  const most = 0.45 * (1 - reversiblePercent / 100) * pinning;
  if (coupling > most) refuse(`${prefix}coupling`, `at most 0.45 (1 - c) k = ${most}, with this material`, coupling);
}
