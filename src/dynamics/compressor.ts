/**
 * Compressor: turns a signal down by how far its level is above a threshold; feed-forward, in the logarithmic domain.
 *
 *     key or input -> level (peak or rms) -> log -> static gain -> link -> attack, release -> exp -> make-up
 *                                                                                                      v
 *     input -> delayed by the look-ahead ------------------------------------------------------------- x -> output
 *
 * The static gain is that of `staticCurve`, never below -range; the smoother is the smooth branching detector, Eq. (16),
 * on the gain reduction. With c the smoothed gain in dB and M the make-up,
 *
 *     c[n] = s[n] + a (c[n-1] - s[n]),     a = attack where s[n] < c[n-1], else release
 *     out  = in + c + M                    in dB, Eqs (1) and (23)
 *
 * so attack and release are the times in which 63.2 % of a change of the gain in dB is done, whatever the ratio. The
 * automatic make-up is half of what the static curve takes from 0 dBFS.
 *
 * A release that depends on the programme has two time constants: what has been asked for long is given back slowly. The
 * smoother then follows min(s, l) in place of s, with b the coefficient of the slow release,
 *
 *     l[n] = s[n] + b (l[n-1] - s[n])      after a hit of length t, a share 1 - e^(-t / slow release) is left to it
 *
 * Source: D. Giannoulis, M. Massberg, J. D. Reiss, "Digital Dynamic Range Compressor Design - A Tutorial and Analysis",
 * JAES 60(6), 2012. Range, link, look-ahead and a release of two time constants are common practice, and so is half as the
 * automatic make-up's share.
 *
 * @module
 */
import { DB_PER_OCTAVE } from '../core/decibels.ts';
import { MOST_KEY_CHANNELS } from '../core/key-input.ts';
import { exp2, exp2InPlace, log2InPlace } from '../core/maths.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import type { SimdCompressor } from '../core/simd-kernels.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import { flush, lasting, rootMeanSquare, smoothBranching } from './detector.ts';
import { type DynamicsParts, DynamicsShell } from './dynamics-shell.ts';
import { pastThreshold } from './knee.ts';
import { linkGains } from './link.ts';

/** Parameters of a {@link Compressor}. Levels are dBFS: amplitude 1 is 0 dB, and the rms level of a full sine -3 dB. */
export const compressorParameters = {
  /** Level above which the gain falls: the middle of the knee. */
  thresholdDb: { default: -20, min: -80, max: 0 },
  /** dB of input for each dB of output above the threshold. 1000 stands for infinity: +20 dB come out as +0.02 dB. */
  ratio: { default: 4, min: 1, max: 1000, taper: 'log' },
  /** Width of the knee, half of it below the threshold. */
  kneeDb: { default: 6, min: 0, max: 40 },
  /** Time constant of the gain, in dB, while it falls. */
  attackMs: { default: 10, min: 0, max: 1000, taper: 'square' },
  /** Time constant of the gain, in dB, while it rises. */
  releaseMs: { default: 100, min: 0, max: 5000, taper: 'square' },
  /** Time constant in which a lasting reduction is given back, as by a hand that follows the programme: short hits are
   * released in `releaseMs`, dense passages in this time. 0 leaves all to `releaseMs`. */
  slowReleaseMs: { default: 0, min: 0, max: 5000, taper: 'square' },
  /** Most that the gain is reduced by. */
  rangeDb: { default: 120, min: 0, max: 120 },
  /** Gain added to the output. */
  makeupDb: { default: 0, min: -20, max: 40 },
  /** Adds half of the gain reduction that a level of 0 dBFS would have at rest. */
  automaticMakeup: { default: false },
  /** Whether the level is the magnitude of each sample or the root of the mean square. */
  detector: { default: 'peak', choices: ['peak', 'rms'], fixed: true },
  /** Time constant of the mean square. */
  rmsMs: { default: 10, min: 0, max: 1000, taper: 'square' },
  /** How long before a hit the gain begins to fall: the latency of the block. */
  lookaheadMs: { default: 0, min: 0, max: 50, fixed: true },
  /** How far the channels move together: towards the lowest of their gains. */
  linkPercent: { default: 100, min: 0, max: 100 },
  /** Share of the compressed signal in the output; the rest is the input, in time with it. */
  mixPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link Compressor}; {@link compressorParameters} gives defaults, ranges and units. */
export type CompressorOptions = ParameterOptions<typeof compressorParameters>;

type Values = ParameterValues<typeof compressorParameters>;

/**
 * Compressor with soft knee, range, make-up, look-ahead and dry/wet mix. The trace's gain contains the make-up.
 *
 * @example
 * ```ts
 * import { Compressor } from 'batterhead/dynamics';
 *
 * const snare = new Compressor({ sampleRateHz: 48000, channels: 1 }, { thresholdDb: -20, ratio: 4, attackMs: 20 });
 * const signal = new Float64Array(48000).fill(1);
 * snare.process([signal], [signal]);
 * console.log((20 * Math.log10(signal[47999])).toFixed(1)); // -15.0: 20 dB over the threshold become 5
 * ```
 */
export class Compressor extends DynamicsShell<typeof compressorParameters> {
  readonly #power: Float64Array; // mean square of each key channel; nothing for peaks
  readonly #simd: SimdCompressor | undefined;

  /** @throws TypeError or RangeError if an option is not as {@link compressorParameters} says. */
  constructor(format: StreamFormat, options: CompressorOptions = {}, parts: DynamicsParts = {}) {
    super('Compressor', compressorParameters, format, options, parts, 2);
    this.#simd = format.simd?.compressor;
    if (!parts.keyFilter) this.workIn(format.simd?.rows);
    this.#power = this.memory(this.values.detector === 'rms' ? MOST_KEY_CHANNELS : 0);
    this.begin();
  }

  protected override design(p: Values): readonly number[] {
    const { sampleRateHz } = this.format;
    const k = [
      p.linkPercent / 100,
      p.thresholdDb / DB_PER_OCTAVE,
      p.kneeDb / DB_PER_OCTAVE,
      1 / p.ratio - 1,
      -p.rangeDb / DB_PER_OCTAVE,
      onePoleCoefficient(p.releaseMs, sampleRateHz), // the gain rises as its reduction is released
      onePoleCoefficient(p.attackMs, sampleRateHz),
      onePoleCoefficient(p.rmsMs, sampleRateHz),
    ];
    const fullScale = new Float64Array(1); // 0 dBFS, to be its gain
    pastThreshold(fullScale, 1, k);
    const makeup = p.makeupDb / DB_PER_OCTAVE - (p.automaticMakeup ? fullScale[0] / 2 : 0);
    return [...k, exp2(makeup), p.mixPercent / 100, onePoleCoefficient(p.slowReleaseMs, sampleRateHz)];
  }

  protected override onGrid(): void {
    flush(this.#power);
    for (const state of this.rowState) flush(state);
  }

  /** Exactly x where the compressed signal's share is 0, exactly x times gain where it is 1. */
  protected override apply(gain: Float64Array, x: Float64Array, count: number): void {
    const wet = this.k[9],
      dry = 1 - wet;
    for (let i = 0; i < count; i++) x[i] *= dry + wet * gain[i];
  }

  protected override detect(key: readonly Float64Array[], levels: readonly Float64Array[], count: number): void {
    super.detect(key, levels, count);
    for (let c = 0; c < key.length && c < this.#power.length; c++)
      rootMeanSquare(levels[c], count, this.k, 7, this.#power, c);
  }

  protected override gains(rows: readonly Float64Array[], count: number): void {
    const makeup = this.k[8];
    if (this.#simd && this.linked && count === BLOCK) {
      for (let c = 0; c < rows.length; c++) this.#simd.gains(rows[c], this.k, this.rowState[c]);
      return;
    }
    for (const row of rows) {
      log2InPlace(row, count);
      pastThreshold(row, count, this.k);
    }
    if (!this.linked) linkGains(rows, count, this.k);
    for (let c = 0; c < rows.length; c++) {
      const row = rows[c];
      lasting(row, count, this.k, 10, this.rowState[c]);
      smoothBranching(row, count, this.k, 5, this.rowState[c]);
      exp2InPlace(row, count);
      for (let i = 0; i < count && makeup !== 1; i++) row[i] *= makeup;
    }
  }

  protected override atOnce(x: readonly Float64Array[], count: number): boolean {
    if (!this.#simd || this.#power.length > 0 || count < BLOCK) return false;
    this.#simd.process(x, this.k, this.rowState[0]);
    return true;
  }
}
