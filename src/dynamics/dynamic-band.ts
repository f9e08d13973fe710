/**
 * Dynamic band: one band of an equaliser whose gain moves with the level of the band itself.
 *
 *     key or input -> the band -> level -> static gain, at most the range -> link -> attack, release -> K
 *                                                                                                    v
 *     input x -> delayed by the look-ahead -+-> the band -> b ------------------------------ (K - 1) b -> + -> output
 *                                           +-------------------------------------------------------------^
 *
 *     peaking     b = bandpass            x + (K - 1) b = (s^2 + K s/Q + 1) / (s^2 + s/Q + 1)
 *     low shelf   b = lowpass, 1st order                  (s + K) / (s + 1)
 *     high shelf  b = highpass, 1st order                 (K s + 1) / (s + 1)
 *
 * The poles do not depend on K: however fast the gain moves, the filter is as stable as the band, and only the share of b
 * in the output changes. A bell of gain K is the cookbook's with q / sqrt K. Above the threshold T the gain moves by
 * (1 - 1/R) dB for each dB, down for a negative range and up for a positive one, with a knee as in `staticCurve`.
 *
 * Source: P. A. Regalia, S. K. Mitra, "Tunable Digital Frequency Response Equalization Filters", IEEE Trans. ASSP 35(1),
 * 1987, for the form whose gain is a factor outside of the filter; D. K. Wise, "Concept, Design, and Implementation of a
 * General Dynamic Parametric Equalizer", JAES 57(1/2), 2009 (both from memory); D. Giannoulis, M. Massberg, J. D. Reiss,
 * JAES 60(6), 2012, for curve and smoother.
 *
 * @module
 */
import { DB_PER_OCTAVE } from '../core/decibels.ts';
import { KeyInput, MOST_KEY_CHANNELS } from '../core/key-input.ts';
import { exp2InPlace, log2InPlace } from '../core/maths.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import type { EqualiserBandValues } from '../filters/equaliser-bands.ts';
import { BiquadKernel } from '../filters/biquad-kernel.ts';
import { GlidingBand } from '../filters/gliding-band.ts';
import { tailOfSections } from '../filters/stability.ts';
import { flush, magnitudes } from './detector.ts';
import { type DynamicsParts, DynamicsShell } from './dynamics-shell.ts';
import { pastThreshold } from './knee.ts';
import { linkGains } from './link.ts';

/** Parameters of a {@link DynamicBand}. Levels are peak dBFS of the band alone: a sine at its centre has its own level. */
export const dynamicBandParameters = {
  /** What the band does; shelves are of first order. */
  shape: { default: 'peaking', choices: ['peaking', 'lowShelf', 'highShelf'], fixed: true },
  /** Centre or corner. */
  frequencyHz: { default: 1000, min: 10, max: 'nyquist', taper: 'log' },
  /** Quality factor of a bell's poles: the narrower the band, the higher. */
  q: { default: 1, min: 0.1, max: 40, taper: 'log' },
  /** Gain of the band at rest. */
  gainDb: { default: 0, min: -24, max: 24 },
  /** Level of the band above which its gain moves: the middle of the knee. */
  thresholdDb: { default: -30, min: -120, max: 0 },
  /** dB of input for each dB of output above the threshold, when the gain moves down; as steep when it moves up. */
  ratio: { default: 3, min: 1, max: 1000, taper: 'log' },
  /** Width of the knee, half of it below the threshold. */
  kneeDb: { default: 6, min: 0, max: 40 },
  /** Where the gain moves to, and how far at most: below 0 what is loud is turned down, above 0 up. */
  rangeDb: { default: -12, min: -36, max: 36 },
  /** Time constant of the gain, in dB, on its way from rest. */
  attackMs: { default: 5, min: 0, max: 1000, taper: 'square' },
  /** Time constant of the gain, in dB, on its way back. */
  releaseMs: { default: 100, min: 0, max: 5000, taper: 'square' },
  /** How long before a hit the gain begins to move: the latency of the block. */
  lookaheadMs: { default: 0, min: 0, max: 50, fixed: true },
  /** How far the channels move together: towards the lowest of their gains. */
  linkPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link DynamicBand}; {@link dynamicBandParameters} gives defaults, ranges and units. */
export type DynamicBandOptions = ParameterOptions<typeof dynamicBandParameters>;

type Values = ParameterValues<typeof dynamicBandParameters>;

/**
 * Equaliser band that moves with its own level. The trace's level and gain are those of the band.
 *
 * @example
 * ```ts
 * import { DynamicBand } from 'batterhead/dynamics';
 *
 * const ring = new DynamicBand({ sampleRateHz: 48000, channels: 1 }, { frequencyHz: 420, q: 4, rangeDb: -6 });
 * const snare = new Float32Array(512);
 * ring.process([snare], [snare]);
 * ```
 */
export class DynamicBand extends DynamicsShell<typeof dynamicBandParameters> {
  readonly #bands: readonly GlidingBand[]; // one for each channel, and
  readonly #keyBand: GlidingBand; // one for what is listened to, whose channels are
  readonly #heard = new KeyInput();
  readonly #b = [new Float64Array(BLOCK)];

  /** @throws TypeError or RangeError if an option is not as {@link dynamicBandParameters} says. */
  constructor(format: StreamFormat, options: DynamicBandOptions = {}, parts: DynamicsParts = {}) {
    super('DynamicBand', dynamicBandParameters, format, options, parts, 1);
    const make = (channels: number) =>
      this.own(new GlidingBand(bandOf(this.values), new BiquadKernel(1, channels), format.sampleRateHz));
    this.#bands = this.rowState.map(() => make(1));
    this.#keyBand = make(MOST_KEY_CHANNELS);
    this.begin();
  }

  /** Samples until the band's response has fallen below -120 dB. */
  override get tailSamples(): number {
    return tailOfSections(this.#keyBand.goal);
  }

  /** Changes parameters from this sample on; a refused set changes nothing. */
  override set(options: DynamicBandOptions): void {
    super.set(options);
    const band = bandOf(this.values);
    for (const each of [...this.#bands, this.#keyBand]) each.moveTo(band);
  }

  protected override design(p: Values): readonly number[] {
    const { sampleRateHz } = this.format;
    return [
      p.linkPercent / 100,
      p.thresholdDb / DB_PER_OCTAVE,
      p.kneeDb / DB_PER_OCTAVE,
      1 - 1 / p.ratio,
      Math.abs(p.rangeDb) / DB_PER_OCTAVE,
      onePoleCoefficient(p.attackMs, sampleRateHz),
      onePoleCoefficient(p.releaseMs, sampleRateHz),
      p.gainDb / DB_PER_OCTAVE,
      p.rangeDb < 0 ? -1 : 1,
    ];
  }

  protected override nextPiece(): number {
    const piece = super.nextPiece();
    return this.#keyBand.busy ? 1 : piece;
  }

  protected override onGrid(): void {
    for (const state of this.rowState) flush(state);
    for (const band of this.#bands) band.flush();
    this.#keyBand.flush();
  }

  protected override detect(key: readonly Float64Array[], levels: readonly Float64Array[], count: number): void {
    this.#heard.makeRoom(key.length);
    this.#heard.load(key, 0, count, true);
    const { rows } = this.#heard;
    this.#keyBand.run(rows, count);
    for (let c = 0; c < key.length; c++) magnitudes(rows[c], levels[c], count);
  }

  protected override gains(rows: readonly Float64Array[], count: number): void {
    const direction = this.k[8];
    for (let c = 0; c < rows.length; c++) {
      const row = rows[c];
      log2InPlace(row, count);
      pastThreshold(row, count, this.k);
      for (let i = 0; i < count; i++) row[i] *= direction;
    }
    if (!this.linked) linkGains(rows, count, this.k);
    for (let c = 0; c < rows.length; c++) {
      follow(this.k, this.rowState[c], rows[c], count);
      exp2InPlace(rows[c], count);
    }
  }

  protected override apply(gain: Float64Array, x: Float64Array, count: number, channel: number): void {
    const b = this.#b[0];
    for (let i = 0; i < count; i++) b[i] = x[i];
    this.#bands[channel].run(this.#b, count);
    for (let i = 0; i < count; i++) x[i] += (gain[i] - 1) * b[i];
  }
}

/** The filter that takes the band out of a signal. */
function bandOf({ shape, frequencyHz, q }: Values): EqualiserBandValues {
  const filters = { peaking: 'bandpass', lowShelf: 'firstOrderLowpass', highShelf: 'firstOrderHighpass' } as const;
  return { type: filters[shape], frequencyHz, q, gainDb: 0, order: 2 };
}

/** Attack and release of one row, and the gain at rest added, in octaves, in place; `state` is how far it has moved. */
function follow(k: Float64Array, state: Float64Array, row: Float64Array, count: number): void {
  const direction = k[8],
    attack = k[5],
    release = k[6],
    rest = k[7];
  let move = state[0];
  for (let i = 0; i < count; i++) {
    const asked = row[i];
    move = asked + (direction * (asked - move) > 0 ? attack : release) * (move - asked);
    row[i] = rest + move;
  }
  state[0] = move;
}
