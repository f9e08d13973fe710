/**
 * Parameters of layering: how a sample follows the hits of a microphone, and what remains of the microphone under it.
 *
 *     layer      y = x + b s                      x microphone, s sample, b blend (of each band)
 *     replace    y = x (1 - b d) + b s            d rises smoothly from 0 to its depth around every hit
 *
 * Bands are those of a Linkwitz-Riley crossover of order 4. Where both bands have the same blend nothing is split.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';

/** Parameters of `layerHits`. */
export const layerParameters = {
  /** Whether the sample is added to the microphone, or takes its place. */
  mode: { default: 'layer', choices: ['layer', 'replace'] },
  /** Peak of the sample over that of the hit (`velocityDb`). */
  gainDb: { default: 0, min: -60, max: 24 },
  /** How far the sample's level follows that of the hits: at 0 every hit has the level of the loudest. */
  followPercent: { default: 100, min: 0, max: 100 },
  /** Share of the sample below the crossover. */
  lowBlendPercent: { default: 100, min: 0, max: 100 },
  /** Share of the sample above the crossover. */
  highBlendPercent: { default: 100, min: 0, max: 100 },
  /** Where the two bands meet. */
  crossoverHz: { default: 200, min: 20, max: 'nyquist', taper: 'log' },
  /** Upper end of the low band in which sample and microphone shall add up. */
  lowBandHz: { default: 250, min: 20, max: 'nyquist', taper: 'log' },
  /** How far a sample may be moved for the best sum, to both sides. */
  maximumOffsetMs: { default: 2, min: 0, max: 5 },
  /** Whether a hit ends the sample of the hit before it. */
  choke: { default: true },
  /** Length of the fade by which it ends. */
  chokeMs: { default: 20, min: 1, max: 1000 },
  /** Attenuation of the microphone under a hit that a sample replaces. */
  duckRangeDb: { default: 60, min: 0, max: 120 },
  /** How long the microphone fades out; it is down when the hit comes. */
  duckAttackMs: { default: 2, min: 0.1, max: 100 },
  /** How long it stays down after the hit. */
  duckHoldMs: { default: 120, min: 0, max: 5000, taper: 'square' },
  /** How long it takes to come back. */
  duckReleaseMs: { default: 80, min: 0.1, max: 5000, taper: 'square' },
  /** Same seed, same choice of samples. */
  seed: { default: 1, min: 0, max: 4294967295, integer: true },
} as const satisfies ParameterTable;

/** Options of {@link layerHits}; {@link layerParameters} gives defaults, ranges and units. */
export type LayerOptions = ParameterOptions<typeof layerParameters>;

/** All parameters with their values. */
export type LayerValues = ParameterValues<typeof layerParameters>;

/** Whether the blends of the two bands differ, so that there is something to split. */
export function splits({ lowBlendPercent, highBlendPercent }: LayerValues): boolean {
  return lowBlendPercent !== highBlendPercent;
}
