/**
 * What a mix is judged beside: its references, measured before it is rendered, and the stems of its context.
 *
 * All are read in pieces; of a reference its figures are kept, of the context a power for each band and 21 ms of each stem
 * (about 2 MB for a minute of four stems) while the map of what they cover is made.
 *
 * @module
 */
import { compareTracks, type ReferenceComparison } from '../comparison/references.ts';
import { type TrackFigures, trackFigures } from '../comparison/quantities.ts';
import type { Stem } from '../comparison/masking.ts';
import type { Recording } from '../comparison/recording.ts';
import { dbToGain } from '../core/decibels.ts';
import { moveOf } from '../alignment/moves.ts';
import type { HitList } from '../hits/hit-list.ts';
import type { InputAlignment } from '../mix/align-inputs.ts';
import type { ReferencePlan } from '../mix/comparison-plan.ts';
import type { MixPlan } from '../mix/plan.ts';
import { type MaskedPart, maskedPart } from '../report/masked-part.ts';
import type { FileReport } from '../report/mix-file-report.ts';
import { sha256OfFile } from './files.ts';
import type { MixPlaces } from './mix-places.ts';
import { openInputs, WavInput } from './wav-files.ts';
import { recordingOfFile } from './wav-sources.ts';

/** References whose figures are known. */
export interface MeasuredReferences {
  readonly files: readonly FileReport[];
  readonly tracks: Readonly<Record<string, TrackFigures>>;
}

/**
 * Measures the references of a plan; undefined if it has none.
 *
 * @throws RangeError, with the path in the plan, for a reference without sound or an excerpt beyond the end of its file
 */
export function measureReferences({ references }: MixPlan, places: MixPlaces): MeasuredReferences | undefined {
  if (references.length === 0) return undefined;
  const tracks = references.map((reference, r): [string, TrackFigures] => {
    const file = new WavInput(places.references[r]);
    try {
      return [nameOf(reference), trackFigures(`references[${r}]`, excerptOfFile(file, reference, `references[${r}]`))];
    } finally {
      file.close();
    }
  });
  const files = references.map(({ file }, r) => ({ file, sha256: sha256OfFile(places.references[r]) }));
  return { files, tracks: Object.fromEntries(tracks) };
}

function excerptOfFile(file: WavInput, { startSeconds, endSeconds }: ReferencePlan, path: string): Recording {
  const { sampleRateHz, frames } = file;
  const start = Math.round(startSeconds * sampleRateHz),
    end = Math.min(frames, Math.round(endSeconds * sampleRateHz));
  if (start >= end) {
    const seconds = (frames / sampleRateHz).toFixed(1);
    throw new RangeError(`${path}.startSeconds must be before the end of the file (${seconds} s), got ${startSeconds}`);
  }
  return recordingOfFile(file, { start, end });
}

/** The file, and which part of it. */
function nameOf({ file, startSeconds, endSeconds }: ReferencePlan): string {
  return startSeconds === 0 && endSeconds >= 86_400 ? file : `${file} (${startSeconds} to ${endSeconds} s)`;
}

/** The mix among its references; undefined if it is silent. */
export function compareMix(
  mix: Recording,
  loudnessLufs: number | null,
  { tracks }: MeasuredReferences,
): ReferenceComparison | undefined {
  return loudnessLufs === null ? undefined : compareTracks(trackFigures('mix', mix), tracks);
}

/**
 * Opens the stems of a plan's context, and nothing if it has none.
 *
 * @throws RangeError, with the path in the plan, for a stem of another rate than the inputs; Error for what is no WAV file
 */
export function openContext(places: MixPlaces, sampleRateHz: number): Readonly<Record<string, WavInput>> {
  const stems = openInputs(places.context);
  for (const [name, stem] of Object.entries(stems)) {
    if (stem.sampleRateHz === sampleRateHz) continue;
    closeAll(stems);
    throw new RangeError(
      `context.${name}: the file must have ${sampleRateHz} Hz, as the inputs have, got ${stem.sampleRateHz} Hz`,
    );
  }
  return stems;
}

/** Closes files. */
export function closeAll(files: Readonly<Record<string, WavInput>>): void {
  for (const file of Object.values(files)) file.close();
}

/** What the stems cover of the mix, and of each drum whose hits are known. The stems begin where the inputs do. */
export function maskMix(
  plan: MixPlan,
  mix: Recording,
  stems: Readonly<Record<string, WavInput>>,
  hits: HitList | undefined,
  { leadSamples, moves }: InputAlignment,
): readonly MaskedPart[] {
  const { sampleRateHz, channels } = mix;
  const rest = Object.fromEntries(
    Object.entries(stems).map(([name, stem]): [string, Stem] => {
      const gain = dbToGain(plan.context[name].gainDb);
      return [name, recordingOfFile(stem, { start: -leadSamples, gain }).channels];
    }),
  );
  const drums = Object.entries(plan.hits?.drums ?? {}).flatMap(([drum, { microphone }]) => {
    const later = leadSamples + moveOf(moves, microphone).delaySamples;
    const hitSamples = (hits?.hits ?? [])
      .filter((hit) => hit.drum === drum)
      .map(({ sample }) => Math.max(0, Math.min(sample + later, channels[0].frames)));
    return hitSamples.length === 0
      ? []
      : [maskedPart(`${drum} in the mix`, channels, rest, { sampleRateHz, hitSamples })];
  });
  return [maskedPart('mix', channels, rest, { sampleRateHz }), ...drums];
}
