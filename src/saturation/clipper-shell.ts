/**
 * What both clippers are besides their curve: drive, ceiling, oversampling, guard, dry/wet.
 *
 *     y = c f(d x / c)    at the high rate,    d the drive, c the ceiling
 *
 * Both glide, and what stands in front of the curve is their ratio at every sample: a ceiling on its way is one too.
 *
 * The ceiling bounds the signal at the high rate. On the way back to the base rate the harmonics above the band are
 * taken out, and what is left can stand above the ceiling again: hard clipping of +12 dB at 8x by 0.13 dB for a sine of
 * 997 Hz, 1.1 dB for 4987 Hz (at 4x), 4 dB for white noise. The guard clips once more at the base rate: nothing is above
 * the ceiling then, but that clip folds back (worst line -62 dB where it is at most -90 dB without). Only a limiter
 * keeps a ceiling without either.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { DryWet } from '../core/dry-wet.ts';
import type {
  ChoiceRow,
  NumberRow,
  ParameterOptions,
  ParameterTable,
  ParameterValues,
  SwitchRow,
} from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import { BLOCK } from '../core/pieces.ts';
import { Oversampler } from '../filters/oversampler.ts';
import type { ClippingCurve, Shaping } from './clipping-curve.ts';
import { type antialiasingRow, createShaping } from './shaping.ts';

/** Rows that both clippers' tables have. */
export const driveRow = { default: 0, min: -24, max: 48 } as const satisfies NumberRow;
export const ceilingRow = { default: 0, min: -60, max: 12 } as const satisfies NumberRow;
export const oversamplingRow = { default: 8, choices: [1, 2, 4, 8, 16], fixed: true } as const satisfies ChoiceRow;
export const guardRow = { default: false } as const satisfies SwitchRow;
export const mixRow = { default: 100, min: 0, max: 100 } as const satisfies NumberRow;

interface ClipperTable extends ParameterTable {
  readonly driveDb: typeof driveRow;
  readonly ceilingDb: typeof ceilingRow;
  readonly oversampling: typeof oversamplingRow;
  readonly antialiasing: typeof antialiasingRow;
  readonly guard: typeof guardRow;
  readonly mixPercent: typeof mixRow;
}

type Values = ParameterValues<
  Pick<ClipperTable, 'driveDb' | 'ceilingDb' | 'oversampling' | 'antialiasing' | 'guard' | 'mixPercent'>
>;

const DRIVE = 0,
  CEILING = 1,
  GUARD = 2,
  WET_SHARE = 3;

/** A clipper but for its curve. */
export abstract class ClipperShell<T extends ClipperTable> extends ParameterShell<T> {
  readonly #oversamplers: readonly Oversampler[];
  readonly #shapings: readonly Shaping[];
  readonly #factor: number;
  readonly #dryWet: DryWet;
  readonly #shape = new Float64Array(2); // what the curve runs with: gain in front of it, and the ceiling

  constructor(owner: string, table: T, format: StreamFormat, options: ParameterOptions<T>) {
    super(owner, table, format, options);
    const { oversampling: factor, antialiasing } = this.values as Values;
    this.workIn(format.simd?.rows);
    const ownCurve = this.curveOf(this.values);
    const faster = factor > 1 ? format.simd?.curves[ownCurve.name] : undefined; // at 1x the samples are not there
    const curve = faster ? { ...ownCurve, inPlace: faster } : ownCurve;
    const perChannel = { length: format.channels };
    this.#factor = factor;
    this.#shapings = Array.from(perChannel, () => this.own(createShaping(antialiasing, curve, factor, BLOCK * factor)));
    const late = this.#shapings[0].latencySamples;
    this.#oversamplers = Array.from(perChannel, () => this.own(new Oversampler(factor, late, format.simd)));
    const { latencySamples } = this.#oversamplers[0];
    this.#dryWet = this.own(new DryWet(format.channels, latencySamples));
    this.begin(latencySamples);
  }

  /** The filters' answer is as long after its middle, which is the latency, as before it. */
  override get tailSamples(): number {
    return this.latencySamples;
  }

  /** The curve to run, which the fixed rows decide; called before a subclass has its fields. */
  protected abstract curveOf(values: ParameterValues<T>): ClippingCurve;

  protected override design(values: ParameterValues<T>): readonly number[] {
    const p = values as Values;
    return [dbToGain(p.driveDb), dbToGain(p.ceilingDb), p.guard ? 1 : 0, p.mixPercent / 100];
  }

  protected override advance(x: Float64Array[], count: number): void {
    const k = this.k,
      shape = this.#shape;
    shape[0] = k[DRIVE] / k[CEILING];
    shape[1] = k[CEILING];
    this.#dryWet.keep(x, count);
    for (let c = 0; c < x.length; c++) {
      const y = x[c],
        oversampler = this.#oversamplers[c];
      this.#shapings[c].run(oversampler.up(y, count), count * this.#factor, shape);
      oversampler.down(y, count);
      if (k[GUARD] > 0) guardInPlace(y, count, k);
    }
    this.#dryWet.mix(x, count, k, WET_SHARE);
  }
}

/** Moves what is above the ceiling down to it, by a share of the way. */
function guardInPlace(y: Float64Array, count: number, k: Float64Array): void {
  const ceiling = k[CEILING],
    share = k[GUARD];
  for (let i = 0; i < count; i++) {
    const over = Math.abs(y[i]) - ceiling;
    if (over > 0)
      y[i] = share === 1 ? (y[i] > 0 ? ceiling : -ceiling) : y[i] - (y[i] > 0 ? share * over : -share * over);
  }
}
