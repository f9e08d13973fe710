/**
 * What a mix is compared with as a plan names it: finished tracks, and the other instruments of the song.
 *
 *     "references": [{ "file": "finished-1.wav", "startSeconds": 61.5, "endSeconds": 90 }, { "file": "finished-2.wav" }],
 *     "context": { "bass": { "file": "bass.wav", "gainDb": -3 }, "guitars": { "file": "guitars.wav" } }
 *
 * Neither is heard in the mix. References may have any sample rate and loudness. A stem of the context begins where the
 * inputs begin, and has their sample rate.
 *
 * @module
 */
import { refuse } from '../core/check.ts';
import { requireList, requireMembers, requireObject, requireText, split } from '../core/json-check.ts';
import {
  type ParameterOptions,
  type ParameterTable,
  type ParameterValues,
  resolveParameters,
} from '../core/parameters.ts';

const DAY_SECONDS = 86_400;

/** Parameters of a reference: which part of the file counts. */
export const referenceParameters = {
  /** Where it begins. */
  startSeconds: { default: 0, min: 0, max: DAY_SECONDS },
  /** Where it ends, after its beginning; the end of the file if that comes first. */
  endSeconds: { default: DAY_SECONDS, min: 0, max: DAY_SECONDS },
} as const satisfies ParameterTable;

/** Parameters of a stem of the context. */
export const contextParameters = {
  /** Level at which the stem plays beside the mix. */
  gainDb: { default: 0, min: -120, max: 24 },
} as const satisfies ParameterTable;

/** A finished track. */
export interface ReferencePlan extends ParameterValues<typeof referenceParameters> {
  /** Path of a WAV file, relative to the plan. */
  readonly file: string;
}

/** Another instrument, or a group of them. */
export interface ContextPlan extends ParameterValues<typeof contextParameters> {
  /** Path of a WAV file, relative to the plan. */
  readonly file: string;
}

/** Reads and validates the references. @throws TypeError or RangeError with the path of the first fault */
export function parseReferences(value: unknown, sampleRateHz: number): readonly ReferencePlan[] {
  return requireList('references', value).map((json, r) => {
    const path = `references[${r}]`;
    const reference = parseFile(path, json, referenceParameters, sampleRateHz);
    const { startSeconds, endSeconds } = reference;
    if (endSeconds <= startSeconds) refuse(`${path}.endSeconds`, `above startSeconds (${startSeconds})`, endSeconds);
    return reference;
  });
}

/** Reads and validates a stem of the context. @throws TypeError or RangeError with the path of the first fault */
export function parseContext(path: string, value: unknown, sampleRateHz: number): ContextPlan {
  return parseFile(path, value, contextParameters, sampleRateHz);
}

function parseFile<T extends ParameterTable>(
  path: string,
  value: unknown,
  table: T,
  sampleRateHz: number,
): ParameterValues<T> & { readonly file: string } {
  const json = requireObject(path, value);
  const [own, rest] = split(json, Object.keys(table));
  requireMembers(path, rest, ['file', ...Object.keys(table)]);
  const file = requireText(`${path}.file`, json.file);
  return { file, ...resolveParameters(`${path}.`, table, own as ParameterOptions<T>, sampleRateHz) };
}
