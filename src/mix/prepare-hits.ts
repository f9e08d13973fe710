/**
 * Hits of a mix: found, and what they bring about made ready, before anything is rendered.
 *
 *     plan.hits, inputs, samples --> hit list, filters, placements --> inputs after their hits, keys for gates, report
 *
 * @module
 */
import type { BlockPlan } from '../blocks/block-plan.ts';
import { HitKey } from '../hits/hit-key.ts';
import type { HitList } from '../hits/hit-list.ts';
import { findHits } from './find-hits.ts';
import { type DrumTreatment, openTreated, treatDrums } from './hit-inputs.ts';
import type { MixInput } from './input-reader.ts';
import { inputSource } from './input-source.ts';
import type { MixPlan } from './plan.ts';
import type { ProcessedInput } from './processed-input.ts';

/** What a plan's hits need besides its inputs. */
export interface HitResources {
  /** Hits in place of a detection: those of `hits.file`, or of an earlier pass. */
  readonly list?: HitList | undefined;
  /** Samples for layering by the paths that the plan names: one channel each, at the sample rate of the inputs. */
  readonly samples?: Readonly<Record<string, Float64Array>> | undefined;
}

/** Hits, and what follows from them: plain values, of which another thread can have a copy. */
export interface FoundHits {
  readonly list: HitList;
  readonly treatments: readonly DrumTreatment[];
}

/** Hits ready to be heard. */
export interface PreparedHits extends FoundHits {
  /** A new reading of an input that something is done to; undefined for the others. */
  open(input: string): ProcessedInput | undefined;
  /** The key that a block listens to. */
  keyOf(hitKey: NonNullable<BlockPlan['hitKey']>): HitKey;
}

/**
 * Finds the hits of a plan, and learns and places what follows from them; undefined if it has none.
 *
 * @throws RangeError or TypeError, with a path, if a file is missing, an input has more than one channel, or the hits do
 *   not allow what is asked
 */
export function findAndTreatHits(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  sampleRateHz: number,
  { list: given, samples = {} }: HitResources = {},
): FoundHits | undefined {
  if (!plan.hits) return undefined;
  if (plan.hits.file !== undefined && !given) throw new RangeError('hits.file must have been read');
  const sourceOf = (input: string) => inputSource(plan, inputs, input, sampleRateHz);
  const list = findHits(plan.hits, sampleRateHz, sourceOf, given);
  const sampleOf = (file: string): Float64Array => {
    if (!Object.hasOwn(samples, file)) throw new RangeError(`${file} must have been read`);
    return samples[file];
  };
  return { list, treatments: treatDrums(plan.hits, list, sourceOf, sampleOf) };
}

/** Makes the inputs and keys that follow from hits. */
export function prepareHits(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  sampleRateHz: number,
  found: FoundHits | undefined,
): PreparedHits | undefined {
  const { hits } = plan;
  if (!hits || !found) return undefined;
  const { list, treatments } = found;
  const sourceOf = (input: string) => inputSource(plan, inputs, input, sampleRateHz);
  return {
    ...found,
    open: (input) => openTreated(input, hits, treatments, sampleRateHz, sourceOf),
    keyOf: ({ drum, options }) =>
      new HitKey(
        sampleRateHz,
        list.hits.filter((hit) => hit.drum === drum),
        options,
      ),
  };
}
