/**
 * Places a sample on every hit: which one, where, how loud, and with which polarity.
 *
 *     hits --> sample of its velocity layer --> level of the hit --> position of the best low-band sum --> placement
 *
 * The recording is looked at around the hits only, some tens of milliseconds at a time, so that a long one need not be in
 * memory. What comes out is a plain list: the rendering after it needs no look-ahead.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { requireFormat } from '../core/pieces.ts';
import { resolveParameters } from '../core/parameters.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { bestSum, LowBand } from './best-sum.ts';
import { type BlendedSample, blendSamples } from './blended-samples.ts';
import type { Hit } from './hit-list.ts';
import { layerParameters, type LayerOptions, type LayerValues } from './layer-parameters.ts';
import { requireLayers, RoundRobin, type VelocityLayer } from './layer-samples.ts';

/** What layering must know of a hit. */
export type LayerHit = Pick<Hit, 'sample' | 'velocityDb' | 'velocity'>;

/** A sample on its hit. */
export interface LayerPlacement {
  /** Where the hit was found, in samples. */
  readonly hitSample: number;
  /** Which sample plays: its layer, and its number in it. */
  readonly layer: number;
  /** Where the layer begins, in samples from the start, fractional. */
  readonly sample: number;
  /** Where its first value falls; whole, and negative for a sample that begins before the recording. */
  readonly start: number;
  /** How much later than the hit its blow stands, for the best sum. */
  readonly offsetSamples: number;
  /** -1 where the sample is turned over so that it adds. */
  readonly polarity: 1 | -1;
  /** Gain of the sample, without the polarity. */
  readonly gain: number;
}

/** Samples ready to be rendered, by {@link HitLayers}. */
export interface PlacedLayers {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Parameters in use. */
  readonly values: LayerValues;
  /** The blended samples, by velocity layer and variation. */
  readonly samples: readonly (readonly BlendedSample[])[];
  /** In the order of the hits. */
  readonly placements: readonly LayerPlacement[];
}

/** What the low-pass needs before the part that is looked at, so that it has forgotten its beginning. */
const LEAD_IN_MS = 40;

/**
 * Places samples on hits.
 *
 * @param microphone - that in which the hits were found
 * @param hits - sorted by time
 * @throws TypeError or RangeError for what is not as {@link layerParameters} or {@link VelocityLayer} say
 */
export function placeLayers(
  sampleRateHz: number,
  microphone: SampleSource,
  hits: readonly LayerHit[],
  layers: readonly VelocityLayer[],
  options: LayerOptions = {},
): PlacedLayers {
  requireFormat('layerHits', { sampleRateHz, channels: 1 });
  const values = resolveParameters('layerHits: ', layerParameters, options, sampleRateHz);
  requireLayers('layerHits', layers);
  const lowBand = new LowBand(sampleRateHz, values.lowBandHz);
  const samples = blendSamples(layers, values, lowBand, sampleRateHz);
  const roundRobin = new RoundRobin(layers, values.seed);
  const loudestDb = hits.reduce((most, { velocityDb }) => Math.max(most, velocityDb), -Infinity);
  const placements = hits.map((hit): LayerPlacement => {
    const chosen = roundRobin.next(hit.velocity);
    const blended = samples[chosen.layer][chosen.sample];
    const nominal = Math.round(hit.sample) - blended.onset;
    const { offsetSamples, polarity } = positionOf(blended, nominal, microphone, lowBand, values, sampleRateHz);
    const levelDb = loudestDb + (values.followPercent / 100) * (hit.velocityDb - loudestDb);
    return {
      hitSample: hit.sample,
      ...chosen,
      start: nominal + offsetSamples,
      offsetSamples,
      polarity,
      gain: dbToGain(levelDb + values.gainDb) / blended.peak,
    };
  });
  return { sampleRateHz, values, samples, placements };
}

/** The best sum around a nominal position. */
function positionOf(
  { lowStart }: BlendedSample,
  nominal: number,
  microphone: SampleSource,
  lowBand: LowBand,
  { maximumOffsetMs }: LayerValues,
  sampleRateHz: number,
): ReturnType<typeof bestSum> {
  const reach = Math.floor((maximumOffsetMs / 1000) * sampleRateHz),
    leadIn = millisecondsToSamples(LEAD_IN_MS, sampleRateHz);
  const around = new Float64Array(leadIn + 2 * reach + lowStart.length);
  microphone.read(nominal - reach - leadIn, around);
  lowBand.filter(around);
  return bestSum(around.subarray(leadIn), lowStart, reach);
}
