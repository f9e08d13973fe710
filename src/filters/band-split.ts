/**
 * Band split: two to four bands, a processor for each, and their sum.
 *
 *     input -+-> lowpass 1 -> allpass 2 -> allpass 3 -> band 0 -> delay -+
 *            +-> highpass 1 -+-> lowpass 2 -> allpass 3 -> band 1 -> delay -+-> + -> output
 *                            +-> highpass 2 -+-> lowpass 3 -> band 2 -> delay -+
 *                                            +-> highpass 3 -----> band 3 -> delay -+
 *
 * Each crossover is a Linkwitz-Riley one of order 4, whose branches add up to an all-pass of second order with q = sqrt 1/2.
 * A band that passes by a later crossover passes that all-pass instead, so that all bands have turned alike and their sum
 * is the input through one all-pass for each crossover: flat at every frequency. The bands' latencies are made equal.
 *
 * A new frequency is cross-faded in over 20 ms.
 *
 * Source: S. H. Linkwitz, "Active Crossover Networks for Noncoincident Drivers", JAES 24(1), 1976; J. A. D'Appolito, "Active
 * Realization of Multiway All-Pass Crossover Systems", JAES 35(4), 1987, for the all-passes (both from memory).
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { DelayLine } from '../core/delay-line.ts';
import { KeyInput } from '../core/key-input.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { scratch, store } from '../core/pieces.ts';
import type { Channels, Processor, Side, StreamFormat } from '../core/processor.ts';
import { BiquadCascade } from './biquad-cascade.ts';
import type { BiquadCoefficients, CornerOptions } from './biquad-coefficients.ts';
import { allpass } from './biquad-design.ts';
import { linkwitzRiley } from './crossover.ts';

/** Parameters of a {@link BandSplit}: its crossovers. Those between bands that it does not have do nothing. */
export const bandSplitParameters = {
  /** Where the first band ends and the second begins: -6 dB in each. */
  firstHz: { default: 150, min: 10, max: 'nyquist', taper: 'log' },
  /** Where the second band ends and the third begins, above `firstHz`. */
  secondHz: { default: 1500, min: 10, max: 'nyquist', taper: 'log' },
  /** Where the third band ends and the fourth begins, above `secondHz`. */
  thirdHz: { default: 6000, min: 10, max: 'nyquist', taper: 'log' },
} as const satisfies ParameterTable;

/** Options of {@link BandSplit}; {@link bandSplitParameters} gives defaults, ranges and units. */
export type BandSplitOptions = ParameterOptions<typeof bandSplitParameters>;

/** @throws RangeError unless the crossovers between so many bands rise */
export function requireRising(
  prefix: string,
  values: ParameterValues<typeof bandSplitParameters>,
  bands: number,
): void {
  const names = crossoverNames(bands);
  for (let i = 1; i < names.length; i++) {
    const [below, name] = [names[i - 1], names[i]];
    if (values[name] > values[below]) continue;
    throw new RangeError(`${prefix}${name} must be above ${values[below]} (${below}), got ${values[name]}`);
  }
}

function crossoverNames(bands: number): readonly (keyof typeof bandSplitParameters)[] {
  return (['firstHz', 'secondHz', 'thirdHz'] as const).slice(0, bands - 1);
}

/**
 * A processor for each of two to four bands. With a key, the bands that listen to one hear it whole.
 *
 * @example
 * ```ts
 * import { Compressor } from 'batterhead/dynamics';
 * import { BandSplit } from 'batterhead/filters';
 *
 * const format = { sampleRateHz: 48000, channels: 2 };
 * const bands = [-30, -24].map((thresholdDb) => new Compressor(format, { thresholdDb }));
 * const split = new BandSplit(format, { firstHz: 200 }, bands);
 * const [left, right] = [new Float32Array(512), new Float32Array(512)];
 * split.process([left, right], [left, right]);
 * ```
 */
export class BandSplit extends ParameterShell<typeof bandSplitParameters> {
  readonly #bands: readonly Processor[];
  readonly #takesKey: boolean;
  readonly #lows: readonly BiquadCascade[]; // of each crossover, the all-passes of the later ones included
  readonly #highs: readonly BiquadCascade[];
  readonly #rows: readonly Float64Array[][]; // of each band
  readonly #lines: readonly DelayLine[]; // of each band's channels, one band after the other
  readonly #key = new KeyInput();
  readonly #traces: { levelDb: Float64Array[]; gainDb: Float64Array[] };
  readonly #plain: Side = { trusted: true };
  readonly #side: Side = { trusted: true };

  /**
   * @param bands - a processor for each band, from low to high; they become the split's own: nobody else should run them
   * @throws TypeError or RangeError for options that {@link bandSplitParameters} does not allow, crossovers that do not
   *   rise, or a number of bands or a format that does not fit
   */
  constructor(format: StreamFormat, options: BandSplitOptions, bands: readonly Processor[]) {
    requireInteger('BandSplit: number of bands', bands.length, 2, 4);
    super('BandSplit', bandSplitParameters, format, options);
    requireRising('BandSplit: ', this.values, bands.length);
    const { channels, sampleRateHz } = this.format;
    const latency = Math.max(...bands.map((band) => band.latencySamples));
    this.#bands = bands.map((band, b) => {
      if (band.format.sampleRateHz === sampleRateHz && band.format.channels === channels) return this.own(band);
      throw new RangeError(
        `BandSplit: band ${b} must have ${channels} channels at ${sampleRateHz} Hz, ` +
          `got ${band.format.channels} at ${band.format.sampleRateHz} Hz`,
      );
    });
    this.#takesKey = bands.some((band) => band.takesKey);
    const { lows, highs } = designSplit(this.#corners());
    this.#lows = lows.map((sections) => this.own(new BiquadCascade(format, sections)));
    this.#highs = highs.map((sections) => this.own(new BiquadCascade(format, sections)));
    this.#rows = bands.map(() => scratch(channels));
    this.#lines = bands.flatMap(({ latencySamples }) =>
      Array.from({ length: channels }, () => this.own(new DelayLine(latency - latencySamples))),
    );
    this.#traces = { levelDb: scratch(channels), gainDb: scratch(channels) };
    this.begin(latency);
  }

  override get takesKey(): boolean {
    return this.#takesKey;
  }

  override get tailSamples(): number {
    const filters = [...this.#lows, ...this.#highs].reduce((sum, { tailSamples }) => sum + tailSamples, 0);
    return filters + Math.max(...this.#bands.map(({ tailSamples }) => tailSamples));
  }

  override check(options: BandSplitOptions): void {
    super.check(options);
    const { firstHz = this.values.firstHz, secondHz = this.values.secondHz, thirdHz = this.values.thirdHz } = options;
    requireRising('BandSplit: ', { firstHz, secondHz, thirdHz }, this.#bands.length);
  }

  override set(options: BandSplitOptions): void {
    this.check(options);
    const before = this.#corners();
    super.set(options);
    const corners = this.#corners();
    if (corners.every(({ frequencyHz }, i) => frequencyHz === before[i].frequencyHz)) return;
    const { lows, highs } = designSplit(corners);
    this.#lows.forEach((low, i) => low.setSections(lows[i]));
    this.#highs.forEach((high, i) => high.setSections(highs[i]));
  }

  protected override enter(side: Side, length: number): void {
    if (!this.#takesKey) super.enter(side, length);
    else if (side.key) this.#key.expect(this.owner, side.key, length);
  }

  protected override advance(
    x: Float64Array[],
    count: number,
    { key, trace, trusted = false }: Side,
    at: number,
  ): void {
    const bands = this.#bands,
      rows = this.#rows,
      side = this.#side;
    if (key) this.countRefused(this.#key.load(key, at, count, trusted));
    this.#split(x, count);
    side.end = count;
    side.trace = trace && this.#traces;
    for (let b = 0; b < bands.length; b++) {
      side.key = key && bands[b].takesKey ? this.#key.rows : undefined;
      bands[b].process(rows[b], rows[b], side);
      if (trace) {
        this.#copyTrace(this.#traces.levelDb, trace.levelDb, b, at, count);
        this.#copyTrace(this.#traces.gainDb, trace.gainDb, b, at, count);
      }
    }
    for (let c = 0; c < x.length; c++) x[c].fill(0, 0, count);
    for (let b = 0; b < bands.length; b++) this.#add(x, b, count);
  }

  #corners(): readonly CornerOptions[] {
    const { sampleRateHz } = this.format;
    return crossoverNames(this.#bands.length).map((name) => ({ sampleRateHz, frequencyHz: this.values[name] }));
  }

  /** Turns the input into the rows of the bands. */
  #split(x: readonly Float64Array[], count: number): void {
    const rows = this.#rows,
      plain = this.#plain,
      last = rows.length - 1;
    plain.end = count;
    for (let c = 0; c < x.length; c++) copy(x[c], rows[last][c], count);
    for (let b = 0; b < last; b++) {
      for (let c = 0; c < x.length; c++) copy(rows[last][c], rows[b][c], count);
      this.#lows[b].process(rows[b], rows[b], plain);
      this.#highs[b].process(rows[last], rows[last], plain);
    }
  }

  /** Adds a band, delayed to be in time with the latest. */
  #add(x: readonly Float64Array[], b: number, count: number): void {
    const delay = this.latencySamples - this.#bands[b].latencySamples;
    for (let c = 0; c < x.length; c++) {
      const row = this.#rows[b][c],
        line = this.#lines[b * x.length + c],
        y = x[c];
      line.write(row, count);
      line.read(row, count, delay);
      for (let i = 0; i < count; i++) y[i] += row[i];
    }
  }

  /** The trace's rows are those of the first band's channels, then of the next: as many as the caller has. */
  #copyTrace(
    rows: readonly Float64Array[],
    target: Channels | undefined,
    band: number,
    at: number,
    count: number,
  ): void {
    if (!target) return;
    for (let c = 0; c < rows.length; c++) {
      const row = band * rows.length + c;
      if (row < target.length) store(rows[c], target[row], at, count);
    }
  }
}

function copy(from: Float64Array, to: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) to[i] = from[i];
}

/** Sections of the low branch of each crossover, with the all-passes of the later ones, and of the high branch. */
function designSplit(corners: readonly CornerOptions[]): {
  lows: readonly BiquadCoefficients[][];
  highs: readonly BiquadCoefficients[][];
} {
  const crossovers = corners.map((corner) => linkwitzRiley({ ...corner, order: 4 }));
  return {
    lows: crossovers.map(({ lowpass }, i) => [...lowpass, ...corners.slice(i + 1).map((corner) => allpass(corner))]),
    highs: crossovers.map(({ highpass }) => highpass),
  };
}
