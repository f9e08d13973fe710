/**
 * Equaliser: bands in series, each a bell, a shelf or a filter.
 *
 *     input --> bands[0] --> bands[1] --> ... --> output
 *
 * Every band has parameters of its own, {@link equaliserBandParameters}. After construction they are named by their
 * path, as in `equaliser.set({ 'bands[0].gainDb': -3 })`, which is also how a plan or an automation names them.
 *
 * Source: R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working Group Note, 2021, for what the bands are.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { describe, type ParameterOptions, type ParameterValues } from '../core/parameters.ts';
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import { BiquadKernel } from './biquad-kernel.ts';
import {
  bandSections,
  type EqualiserBandOptions,
  equaliserBandParameters,
  type EqualiserBandValues,
  requireOrderFits,
} from './equaliser-bands.ts';
import { GlidingBand } from './gliding-band.ts';
import { tailOfSections } from './stability.ts';

/** The parameters of all bands in one table: `bands[0].type`, `bands[0].frequencyHz`, ... */
export type EqualiserTable = {
  readonly [K in keyof typeof equaliserBandParameters as `bands[${number}].${K}`]: (typeof equaliserBandParameters)[K];
};
/** Options of {@link Equaliser}; {@link equaliserParameters} gives defaults, ranges and units. */
export type EqualiserOptions = ParameterOptions<EqualiserTable>;

/** The table of an equaliser with so many bands. */
export function equaliserParameters(bands: number): EqualiserTable {
  const names = Object.entries(equaliserBandParameters);
  return Object.fromEntries(
    Array.from({ length: bands }, (_, b) => names.map(([name, row]) => [`bands[${b}].${name}`, row])).flat(),
  ) as EqualiserTable;
}

/**
 * Bands in series, the same for all channels.
 *
 * @example
 * ```ts
 * import { Equaliser } from 'batterhead/filters';
 *
 * const snare = new Equaliser({ sampleRateHz: 48000, channels: 1 }, [
 *   { type: 'highpass', frequencyHz: 90, order: 3 },
 *   { type: 'peaking', frequencyHz: 450, q: 1.4, gainDb: -3 },
 * ]);
 * snare.set({ 'bands[1].gainDb': -5 });
 * const signal = new Float32Array(256).fill(0.1);
 * snare.process([signal], [signal]);
 * console.log(snare.latencySamples); // 0
 * ```
 */
export class Equaliser extends ParameterShell<EqualiserTable> {
  readonly #bands: readonly GlidingBand[];
  readonly #whole: BiquadKernel; // what sounds of all bands

  /**
   * @param bands - up to 64; their number, their types and orders are fixed from here on
   * @throws TypeError or RangeError if a band is not as {@link equaliserBandParameters} says, or for an order other
   *   than 2 of a type that has none
   */
  constructor(format: StreamFormat, bands: readonly EqualiserBandOptions[]) {
    super('Equaliser', equaliserParameters(requireBands(bands)), format, byPath(bands));
    const { channels, sampleRateHz } = this.format;
    const values = bands.map((_, b) => bandOf(this.values, b));
    const sections = values.map(({ order }) => bandSections(order));
    const before = (b: number): number => sections.slice(0, b).reduce((sum, count) => sum + count, 0);
    this.workIn(format.simd?.rows);
    this.#whole = new BiquadKernel(before(bands.length), channels, format.simd);
    this.#bands = values.map((band, b) =>
      this.own(new GlidingBand(band, this.#whole.part(before(b), sections[b]), sampleRateHz)),
    );
    this.begin();
  }

  /** The sum over the bands as they were set last: a bound from the radius of their poles. */
  override get tailSamples(): number {
    return this.#bands.reduce((sum, band) => sum + tailOfSections(band.goal), 0);
  }

  override set(options: EqualiserOptions): void {
    super.set(options);
    this.#bands.forEach((band, b) => band.moveTo(bandOf(this.values, b)));
  }

  protected override requireTogether(values: ParameterValues<EqualiserTable>, prefix: string): void {
    for (let b = 0; `bands[${b}].type` in values; b++) requireOrderFits(`${prefix}bands[${b}].`, bandOf(values, b));
  }

  protected override onGrid(): void {
    this.#whole.flush();
  }

  protected override nextPiece(): number {
    const bands = this.#bands;
    for (let b = 0; b < bands.length; b++) if (bands[b].busy) return 1;
    return BLOCK;
  }

  /** A longer piece comes when no band is busy. */
  protected override advance(x: Float64Array[], count: number): void {
    const bands = this.#bands;
    if (count > 1) this.#whole.run(x, count);
    else for (let b = 0; b < bands.length; b++) bands[b].run(x, count);
  }
}

/** The number of bands, after checking that they are a list of objects. */
function requireBands(bands: unknown): number {
  if (!Array.isArray(bands)) throw new TypeError(`Equaliser: bands must be an array, got ${describe(bands)}`);
  bands.forEach((band: unknown, b) => {
    if (typeof band === 'object' && band !== null) return;
    throw new TypeError(`Equaliser: bands[${b}] must be an object, got ${describe(band)}`);
  });
  return requireInteger('Equaliser: number of bands', bands.length, 0, 64);
}

function byPath(bands: readonly EqualiserBandOptions[]): EqualiserOptions {
  return Object.fromEntries(
    bands.flatMap((band, b) => Object.entries(band).map(([name, value]) => [`bands[${b}].${name}`, value])),
  ) as EqualiserOptions;
}

function bandOf(values: ParameterValues<EqualiserTable>, band: number): EqualiserBandValues {
  const names = Object.keys(equaliserBandParameters) as (keyof typeof equaliserBandParameters)[];
  return Object.fromEntries(
    names.map((name) => [name, values[`bands[${band}].${name}`]]),
  ) as unknown as EqualiserBandValues;
}
