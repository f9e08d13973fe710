/**
 * Hits of a mix: found, and what they bring about made ready, before anything is rendered.
 *
 *     plan.hits, inputs, samples --> hit list --> inputs after their hits, keys for gates, report
 *
 * @module
 */
import type { BlockPlan } from '../blocks/block-plan.ts';
import { HitKey } from '../hits/hit-key.ts';
import type { HitList } from '../hits/hit-list.ts';
import { findHits } from './find-hits.ts';
import { type HitInputs, hitInputs } from './hit-inputs.ts';
import type { MixInput } from './input-reader.ts';
import { inputSource } from './input-source.ts';
import type { MixPlan } from './plan.ts';

/** What a plan's hits need besides its inputs. */
export interface HitResources {
  /** Hits in place of a detection: those of `hits.file`, or of an earlier pass. */
  readonly list?: HitList | undefined;
  /** Samples for layering by the paths that the plan names: one channel each, at the sample rate of the inputs. */
  readonly samples?: Readonly<Record<string, Float64Array>> | undefined;
}

/** Hits, and what follows from them. */
export interface PreparedHits extends HitInputs {
  readonly list: HitList;
  /** The key that a block listens to. */
  keyOf(hitKey: NonNullable<BlockPlan['hitKey']>): HitKey;
}

/**
 * The hits of a plan; undefined if it has none.
 *
 * @throws RangeError or TypeError, with a path, if a file is missing, an input has more than one channel, or the hits do
 *   not allow what is asked
 */
export function prepareHits(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  sampleRateHz: number,
  { list: given, samples = {} }: HitResources = {},
): PreparedHits | undefined {
  if (!plan.hits) return undefined;
  if (plan.hits.file !== undefined && !given) throw new RangeError('hits.file must have been read');
  const sourceOf = (input: string) => inputSource(plan, inputs, input, sampleRateHz);
  const list = findHits(plan.hits, sampleRateHz, sourceOf, given);
  const sampleOf = (file: string): Float64Array => {
    if (!Object.hasOwn(samples, file)) throw new RangeError(`${file} must have been read`);
    return samples[file];
  };
  return {
    list,
    ...hitInputs(plan.hits, list, sourceOf, sampleOf),
    keyOf: ({ drum, options }) =>
      new HitKey(
        sampleRateHz,
        list.hits.filter((hit) => hit.drum === drum),
        options,
      ),
  };
}
