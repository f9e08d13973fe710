/**
 * Expander: turns down what lies below a threshold, the more the further below; a gate that closes by degrees.
 *
 *     key or input -> level -> how far below the threshold -> gain, at most -range -> hold, attack, release
 *                                                                                                  v
 *     input -> delayed by the look-ahead -------------------------------------------------------- x -> output
 *
 * At rest the output level is that of `expansionCurve`. Equations and sources: those of the curve and of the gain computer
 * in `below-threshold`.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { BelowThreshold } from './below-threshold.ts';
import type { DynamicsParts } from './dynamics-shell.ts';

/** Parameters of an {@link Expander}. Levels are peak dBFS: amplitude 1 is 0 dB. */
export const expanderParameters = {
  /** Level below which the gain falls: the middle of the knee. */
  thresholdDb: { default: -40, min: -120, max: 0 },
  /** dB of output for each dB of input below the threshold. */
  ratio: { default: 2, min: 1, max: 100, taper: 'log' },
  /** Width of the knee, half of it above the threshold. */
  kneeDb: { default: 6, min: 0, max: 40 },
  /** Most that the gain is reduced by. */
  rangeDb: { default: 40, min: 0, max: 120 },
  /** Time constant of the gain, in dB, while it rises. */
  attackMs: { default: 1, min: 0, max: 1000, taper: 'square' },
  /** How long the gain stays after the last sample that asked for it. At least half a period of the lowest note (10 ms for
   * 50 Hz): |x| falls to zero twice in every period. */
  holdMs: { default: 20, min: 0, max: 5000, taper: 'square' },
  /** Time constant of the gain, in dB, while it falls. */
  releaseMs: { default: 100, min: 0, max: 5000, taper: 'square' },
  /** How long before a hit the gain begins to rise: the latency of the block. */
  lookaheadMs: { default: 0, min: 0, max: 50, fixed: true },
  /** How far the channels move together, by the loudest of them. */
  linkPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link Expander}; {@link expanderParameters} gives defaults, ranges and units. */
export type ExpanderOptions = ParameterOptions<typeof expanderParameters>;

/**
 * Downward expander with soft knee, range, hold and look-ahead, moved by its input or by a key.
 *
 * @example
 * ```ts
 * import { Expander } from 'batterhead/dynamics';
 *
 * const snare = new Expander({ sampleRateHz: 48000, channels: 1 }, { thresholdDb: -34, ratio: 3, rangeDb: 24 });
 * const signal = new Float32Array(512).fill(0.001); // -60 dB
 * snare.process([signal], [signal]);
 * ```
 */
export class Expander extends BelowThreshold<typeof expanderParameters> {
  /** @throws TypeError or RangeError if an option is not as {@link expanderParameters} says. */
  constructor(format: StreamFormat, options: ExpanderOptions = {}, parts: DynamicsParts = {}) {
    super('Expander', expanderParameters, format, options, parts, 2);
    this.begin();
  }

  protected override design(p: ParameterValues<typeof expanderParameters>): readonly number[] {
    return this.constants(p, p.ratio - 1, -1);
  }
}
