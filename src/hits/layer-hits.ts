/**
 * Layers samples on the hits of a whole recording: placement and rendering in one call.
 *
 *     microphone, hits, samples --> placeLayers --> HitLayers --> microphone with samples
 *
 * For a recording that does not fit in memory, use the two by themselves: neither needs all of it at once.
 *
 * @module
 */
import { sourceOf } from '../core/sample-source.ts';
import { HitLayers } from './hit-layers.ts';
import type { LayerOptions } from './layer-parameters.ts';
import type { VelocityLayer } from './layer-samples.ts';
import { type LayerHit, type LayerPlacement, placeLayers } from './place-layers.ts';

/** A recording with samples on its hits. */
export interface LayeredHits {
  /** As long as the recording. */
  readonly output: Float64Array;
  /** What was played where, one for each hit. */
  readonly placements: readonly LayerPlacement[];
}

/**
 * Layers samples on hits, or replaces the hits by them.
 *
 * @param microphone - one channel
 * @param hits - sorted by time
 * @throws TypeError or RangeError for what is not as {@link layerParameters} or {@link VelocityLayer} say
 */
export function layerHits(
  sampleRateHz: number,
  microphone: Float64Array,
  hits: readonly LayerHit[],
  layers: readonly VelocityLayer[],
  options: LayerOptions = {},
): LayeredHits {
  const placed = placeLayers(sampleRateHz, sourceOf(microphone), hits, layers, options);
  const output = new Float64Array(microphone.length);
  new HitLayers(placed).process([microphone], [output]);
  return { output, placements: placed.placements };
}
