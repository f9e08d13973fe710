/**
 * Blended samples: each sample as it will be heard, split into its bands and put together by their blends.
 *
 *     sample --> Linkwitz-Riley --> low x blend --+
 *                              \--> high x blend -+--> heard,    low-passed --> what the best sum is sought with
 *
 * @module
 */
import { BiquadCascade } from '../filters/biquad-cascade.ts';
import { linkwitzRiley } from '../filters/crossover.ts';
import { millisecondsToSamples } from '../core/time.ts';
import type { LowBand } from './best-sum.ts';
import { type LayerValues, splits } from './layer-parameters.ts';
import { onsetOf, peakOf, type VelocityLayer } from './layer-samples.ts';

/** How much of a sample, from its onset, takes part in the search for the best sum. */
export const COMPARED_MS = 50;

/** A sample ready to be placed. */
export interface BlendedSample {
  /** What is heard, at gain 1: with the filters' tail, if there is one, behind it. */
  readonly heard: Float64Array;
  /** Low band of its start, up to 50 ms after the onset. */
  readonly lowStart: Float64Array;
  /** Index of the blow. */
  readonly onset: number;
  /** Peak of the sample before its bands were blended. */
  readonly peak: number;
}

/** The samples of all layers; the blow of each stands where it stood. */
export function blendSamples(
  layers: readonly VelocityLayer[],
  values: LayerValues,
  lowBand: LowBand,
  sampleRateHz: number,
): readonly (readonly BlendedSample[])[] {
  const blend = splits(values) ? bandBlender(values, sampleRateHz) : plainBlender(values);
  return layers.map(({ samples }) =>
    samples.map((sample): BlendedSample => {
      const heard = blend(sample);
      const onset = onsetOf(sample);
      const lowStart = heard.slice(0, onset + millisecondsToSamples(COMPARED_MS, sampleRateHz));
      lowBand.filter(lowStart);
      return { heard, lowStart, onset, peak: peakOf(sample) };
    }),
  );
}

type Blender = (sample: Float64Array) => Float64Array;

function plainBlender({ lowBlendPercent }: LayerValues): Blender {
  return (sample) => sample.map((x) => (lowBlendPercent / 100) * x);
}

function bandBlender({ crossoverHz, lowBlendPercent, highBlendPercent }: LayerValues, sampleRateHz: number): Blender {
  const { lowpass, highpass } = linkwitzRiley({ sampleRateHz, frequencyHz: crossoverHz, order: 4 });
  const format = { sampleRateHz, channels: 1 };
  const low = new BiquadCascade(format, lowpass),
    high = new BiquadCascade(format, highpass);
  return (sample) => {
    const lows = new Float64Array(sample.length + low.tailSamples);
    lows.set(sample);
    const highs = lows.slice();
    low.reset();
    high.reset();
    low.process([lows], [lows]);
    high.process([highs], [highs]);
    return lows.map((x, i) => (lowBlendPercent / 100) * x + (highBlendPercent / 100) * highs[i]);
  };
}
