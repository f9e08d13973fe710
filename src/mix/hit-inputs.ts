/**
 * Inputs after their hits: bleed taken out, samples layered, as the plan asks.
 *
 *     microphone --> BleedReduction (by all microphones of drums) --> HitLayers --> the channels that run the input
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import { BleedReduction } from '../hits/bleed-reduction.ts';
import { HitLayers } from '../hits/hit-layers.ts';
import type { HitList } from '../hits/hit-list.ts';
import type { VelocityLayer } from '../hits/layer-samples.ts';
import { type BleedFilter, learnBleedFilter } from '../hits/learn-bleed.ts';
import { type PlacedLayers, placeLayers } from '../hits/place-layers.ts';
import type { DrumPlan, HitsPlan, LayerPlan } from './hits-plan.ts';
import { type InputStage, ProcessedInput } from './processed-input.ts';

/** What happens to the microphone of one drum. */
export interface DrumTreatment {
  readonly drum: string;
  readonly microphone: string;
  readonly bleed: BleedFilter | undefined;
  readonly placed: PlacedLayers | undefined;
}

/**
 * Learns and places what the plan asks for.
 *
 * @param samples - the samples of a layer plan, one channel each at the sample rate of the inputs
 * @throws RangeError, with a path, where the hits do not allow what is asked
 */
export function treatDrums(
  plan: HitsPlan,
  list: HitList,
  sourceOf: (input: string) => SampleSource,
  samples: (file: string) => Float64Array,
): readonly DrumTreatment[] {
  const { sampleRateHz } = list;
  const names = microphonesOf(plan),
    sources = names.map(sourceOf);
  const learn = (drum: string, { microphone, bleed }: DrumPlan): BleedFilter | undefined => {
    if (!bleed) return undefined;
    const hits = list.hits.filter((hit) => hit.drum === drum).map(({ sample }) => sample);
    return within(`hits.drums.${drum}.bleed`, () =>
      learnBleedFilter(sampleRateHz, sources, names.indexOf(microphone), hits, bleed),
    );
  };
  const place = (drum: string, { microphone, layer }: DrumPlan): PlacedLayers | undefined => {
    if (!layer) return undefined;
    const hits = list.hits.filter((hit) => hit.drum === drum);
    return within(`hits.drums.${drum}.layer`, () =>
      placeLayers(sampleRateHz, sourceOf(microphone), hits, layersOf(layer, samples), layer.options),
    );
  };
  return Object.entries(plan.drums).map(([drum, own]) => ({
    drum,
    microphone: own.microphone,
    bleed: learn(drum, own),
    placed: place(drum, own),
  }));
}

/** A new reading of an input that something is done to; undefined for the others. */
export function openTreated(
  input: string,
  plan: HitsPlan,
  treatments: readonly DrumTreatment[],
  sampleRateHz: number,
  sourceOf: (input: string) => SampleSource,
): ProcessedInput | undefined {
  const here = treatments.filter(({ microphone }) => microphone === input);
  const filter = here.find(({ bleed }) => bleed)?.bleed;
  const names = microphonesOf(plan);
  const stages: InputStage[] = [];
  if (filter) {
    const processor = new BleedReduction({ sampleRateHz, channels: names.length }, [filter]);
    stages.push({ processor, channel: filter.target });
  }
  for (const { placed } of here) if (placed) stages.push({ processor: new HitLayers(placed), channel: 0 });
  if (stages.length === 0) return undefined;
  const source = sourceOf(input);
  const frames = here.reduce((most, { placed }) => Math.max(most, endOf(placed)), source.frames);
  return new ProcessedInput(sampleRateHz, frames, filter ? names.map(sourceOf) : [source], stages);
}

/** The inputs that tell the bleed, in the order in which a filter has their weights. */
function microphonesOf({ drums, furtherMicrophones }: HitsPlan): readonly string[] {
  return [...new Set([...Object.values(drums).map(({ microphone }) => microphone), ...furtherMicrophones])];
}

/** Behind the last value of all samples, whether they are choked or not. */
function endOf(placed: PlacedLayers | undefined): number {
  const samples = placed?.samples ?? [];
  return (placed?.placements ?? []).reduce(
    (end, { layer, sample, start }) => Math.max(end, start + samples[layer][sample].heard.length),
    0,
  );
}

function layersOf({ samples: layers }: LayerPlan, samples: (file: string) => Float64Array): VelocityLayer[] {
  return layers.map(({ velocity, files }) => ({ velocity, samples: files.map(samples) }));
}

/** Names the place in the plan before what a function refuses. */
function within<R>(path: string, run: () => R): R {
  try {
    return run();
  } catch (error) {
    throw new RangeError(`${path}: ${(error as Error).message}`, { cause: error });
  }
}
