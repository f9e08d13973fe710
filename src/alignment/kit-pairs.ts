/**
 * The pairs of a kit that can be compared, and what they measure.
 *
 *     close microphones of one drum, each with each          snareTop - snareBottom
 *     the reference of each drum with every overhead         snareTop - overheadLeft, snareTop - overheadRight, kickIn - ...
 *
 * A delay between two microphones is another one for every drum, so no pair is compared by the hits of somebody else's.
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import type { DelayWeighting } from './cross-spectrum.ts';
import { type DelayEstimate, estimateDelay } from './delay-estimate.ts';
import { pickHits } from './hit-picker.ts';
import { leadingHits } from './kit-hits.ts';
import type { SearchRange } from './search-range.ts';

/** A drum and its close microphones, the reference first. */
export interface MikedDrum {
  readonly drum: string;
  readonly microphones: readonly string[];
}

/** Two microphones compared by the hits of one drum. */
export interface MeasuredPair {
  readonly reference: string;
  readonly other: string;
  readonly drum: string;
  readonly estimate: DelayEstimate;
}

/** How to compare. */
export interface MeasureOptions extends SearchRange {
  readonly sampleRateHz: number;
  readonly weighting?: DelayWeighting | undefined;
  /** Hits of a drum at its reference microphone; those of other drums are picked. */
  readonly hits: Readonly<Record<string, readonly number[]>>;
}

/** Rises softer than this share of the loudest (-34 dB) disturb nobody. */
const SOFTEST_SHARE = 0.02;

/** All pairs of the drums' close microphones, and of their references with `far` microphones. */
export function measurePairs(
  sources: ReadonlyMap<string, SampleSource>,
  drums: readonly MikedDrum[],
  far: readonly string[],
  options: MeasureOptions,
): MeasuredPair[] {
  const { hits: given, ...how } = options;
  const sourceOf = (name: string): SampleSource => sources.get(name) as SampleSource;
  const picked = drums.map(({ drum, microphones: [reference] }) => ({
    drum,
    hits: Object.hasOwn(given, drum)
      ? given[drum].map((sample) => ({ sample, level: 1 })).sort((a, b) => a.sample - b.sample)
      : pickHits(sourceOf(reference), options.sampleRateHz, SOFTEST_SHARE),
  }));
  const leading = leadingHits(picked, options.sampleRateHz);
  const pairs: MeasuredPair[] = [];
  drums.forEach(({ drum, microphones }, i) => {
    const measure = (reference: string, other: string, lateBy: number): DelayEstimate => {
      const source = sourceOf(reference);
      const hitSamples = leading[i]
        .map((sample) => sample + lateBy)
        .filter((sample) => sample >= 0 && sample <= source.frames);
      const estimate = estimateDelay(source, sourceOf(other), { ...how, hitSamples });
      pairs.push({ reference, other, drum, estimate });
      return estimate;
    };
    const [first, ...others] = microphones;
    const delays = others.map((other) => measure(first, other, 0).delaySamples);
    others.forEach((reference, k) => {
      others.slice(k + 1).forEach((other) => measure(reference, other, delays[k]));
    });
    far.forEach((other) => measure(first, other, 0));
  });
  return pairs;
}
