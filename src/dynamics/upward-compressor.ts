/**
 * Upward compressor: raises what lies below a threshold towards it, at most by a range, so that noise does not rise without
 * bound; what lies above stays as it is, hits and all.
 *
 *     key or input -> level -> how far below the threshold -> gain, at most range -> hold, attack, release
 *                                                                                                 v
 *     input -> delayed by the look-ahead ------------------------------------------------------- x -> output
 *
 * At rest the output level is that of `upwardCurve`. Equations and sources: those of the curve and of the gain computer in
 * `below-threshold`.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { BelowThreshold } from './below-threshold.ts';
import type { DynamicsParts } from './dynamics-shell.ts';

/** Parameters of an {@link UpwardCompressor}. Levels are peak dBFS: amplitude 1 is 0 dB. */
export const upwardCompressorParameters = {
  /** Level below which the gain rises: the middle of the knee. */
  thresholdDb: { default: -30, min: -120, max: 0 },
  /** dB of input for each dB of output below the threshold. */
  ratio: { default: 2, min: 1, max: 1000, taper: 'log' },
  /** Width of the knee, half of it above the threshold. */
  kneeDb: { default: 6, min: 0, max: 40 },
  /** Most that the gain is raised by, noise between the hits included. */
  rangeDb: { default: 12, min: 0, max: 40 },
  /** Time constant of the gain, in dB, while it falls back for a hit. */
  attackMs: { default: 1, min: 0, max: 1000, taper: 'square' },
  /** How long the gain stays after the last sample that asked for it. At least half a period of the lowest note (10 ms for
   * 50 Hz): |x| falls to zero twice in every period. */
  holdMs: { default: 20, min: 0, max: 5000, taper: 'square' },
  /** Time constant of the gain, in dB, while it rises. */
  releaseMs: { default: 100, min: 0, max: 5000, taper: 'square' },
  /** How long before a hit the gain begins to fall: the latency of the block. */
  lookaheadMs: { default: 0, min: 0, max: 50, fixed: true },
  /** How far the channels move together, by the loudest of them. */
  linkPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link UpwardCompressor}; {@link upwardCompressorParameters} gives defaults, ranges and units. */
export type UpwardCompressorOptions = ParameterOptions<typeof upwardCompressorParameters>;

/**
 * Upward compressor with soft knee, range, hold and look-ahead, moved by its input or by a key.
 *
 * @example
 * ```ts
 * import { UpwardCompressor } from 'batterhead/dynamics';
 *
 * const room = new UpwardCompressor({ sampleRateHz: 48000, channels: 2 }, { thresholdDb: -30, ratio: 2, rangeDb: 9 });
 * const [left, right] = [new Float32Array(512), new Float32Array(512)];
 * room.process([left, right], [left, right]);
 * ```
 */
export class UpwardCompressor extends BelowThreshold<typeof upwardCompressorParameters> {
  /** @throws TypeError or RangeError if an option is not as {@link upwardCompressorParameters} says. */
  constructor(format: StreamFormat, options: UpwardCompressorOptions = {}, parts: DynamicsParts = {}) {
    super('UpwardCompressor', upwardCompressorParameters, format, options, parts, 2);
    this.begin();
  }

  protected override design(p: ParameterValues<typeof upwardCompressorParameters>): readonly number[] {
    return this.constants(p, 1 - 1 / p.ratio, 1);
  }
}
