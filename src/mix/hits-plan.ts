/**
 * The plan's `hits`: which drums are listened for, in which microphones, and what follows from their hits.
 *
 *     "hits": {
 *       "drums": {
 *         "snare": { "microphone": "snareTop", "kind": "snare",
 *                    "layer": { "samples": [{ "velocity": 100, "files": ["hard1.wav", "hard2.wav"] }], "gainDb": -6 },
 *                    "bleed": { "strength": 1 } }
 *       }
 *     }
 *
 * Hits are detected, or come from a file (`file`); `add` and `remove` edit them. Everything they bring about happens to the
 * microphone before its channel: first the bleed is taken out, then samples are layered. Gates listen to hits by
 * `"key": { "hits": "snare" }`.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import {
  member,
  requireList,
  requireMembers,
  requireName,
  requireObject,
  requireText,
  split,
} from '../core/json-check.ts';
import { type ParameterOptions, type ParameterTable, resolveParameters } from '../core/parameters.ts';
import { detectHitsParameters, type DetectHitsOptions } from '../hits/detect-hits.ts';
import { type DrumKind, drumKinds } from '../hits/key-bands.ts';
import { bleedParameters, type BleedOptions } from '../hits/learn-bleed.ts';
import { type LayerOptions, layerParameters } from '../hits/layer-parameters.ts';

/** Files of recorded strokes of one force. */
export interface LayerFilesPlan {
  /** How hard they were struck, 0 to 127. */
  readonly velocity: number;
  /** Paths of WAV files of one channel, relative to the plan. */
  readonly files: readonly string[];
}

/** Samples on the hits of a drum. */
export interface LayerPlan {
  /** Files of each velocity layer, softest first. */
  readonly samples: readonly LayerFilesPlan[];
  /** How layers are chosen, placed and blended. */
  readonly options: LayerOptions;
}

/** A hit placed by hand. */
export interface AddedHitPlan {
  /** Where it rises, in samples of the recording, fractional. */
  readonly sample: number;
  /** How hard: peak of the drum's key band after the onset, -200 to 60 dBFS. */
  readonly velocityDb: number;
}

/** One drum. */
export interface DrumPlan {
  /** Name of the input in which it is heard best. */
  readonly microphone: string;
  /** Kind of drum, which decides the key band. */
  readonly kind: DrumKind;
  /** Hits set by hand. */
  readonly add: readonly AddedHitPlan[];
  /** Samples near which detected hits are none. */
  readonly remove: readonly number[];
  /** Samples that reinforce or replace the drum. */
  readonly layer?: LayerPlan;
  /** Bleed reduction, where the plan asks for it. */
  readonly bleed?: BleedOptions;
}

/** All drums. */
export interface HitsPlan {
  /** Path of a hit list, relative to the plan, in place of a detection. */
  readonly file?: string;
  /** Parameters of the detection for all drums. */
  readonly detection: DetectHitsOptions;
  /** Drums by name. */
  readonly drums: Readonly<Record<string, DrumPlan>>;
  /** Inputs besides the drums' microphones that help to tell the bleed: those of cymbals, second microphones. */
  readonly furtherMicrophones: readonly string[];
}

/**
 * Reads and validates the plan's `hits`.
 *
 * @param inputs - names of the plan's inputs
 * @throws TypeError or RangeError with the path of the first fault
 */
export function parseHitsPlan(value: unknown, inputs: readonly string[], sampleRateHz: number): HitsPlan {
  const hits = requireObject('hits', value);
  requireMembers('hits', hits, ['file', 'detection', 'drums', 'furtherMicrophones']);
  const drums = Object.entries(requireObject('hits.drums', hits.drums)).map(([name, drum]): [string, DrumPlan] => [
    name,
    parseDrum(`hits.drums.${name}`, drum, inputs, sampleRateHz),
  ]);
  if (drums.length === 0) throw new RangeError('hits.drums must hold at least one drum');
  return {
    ...(hits.file !== undefined && { file: requireText('hits.file', hits.file) }),
    detection: options('hits.detection', detectHitsParameters, hits.detection ?? {}, sampleRateHz),
    drums: Object.fromEntries(drums),
    furtherMicrophones: requireList('hits.furtherMicrophones', hits.furtherMicrophones ?? []).map((input, i) =>
      requireName(`hits.furtherMicrophones[${i}]`, input, inputs),
    ),
  };
}

function parseDrum(path: string, value: unknown, inputs: readonly string[], sampleRateHz: number): DrumPlan {
  const drum = requireObject(path, value);
  requireMembers(path, drum, ['microphone', 'kind', 'add', 'remove', 'layer', 'bleed']);
  const sampleOf = (at: string, sample: unknown) => requireRange(at, sample, 0, Number.MAX_SAFE_INTEGER);
  return {
    microphone: requireName(`${path}.microphone`, drum.microphone, inputs),
    kind: requireName(`${path}.kind`, drum.kind, drumKinds) as DrumKind,
    add: requireList(`${path}.add`, drum.add ?? []).map((hit, i) => {
      const at = `${path}.add[${i}]`,
        added = requireObject(at, hit);
      requireMembers(at, added, ['sample', 'velocityDb']);
      return {
        sample: sampleOf(`${at}.sample`, added.sample),
        velocityDb: requireRange(`${at}.velocityDb`, added.velocityDb, -200, 60),
      };
    }),
    remove: requireList(`${path}.remove`, drum.remove ?? []).map((sample, i) =>
      sampleOf(`${path}.remove[${i}]`, sample),
    ),
    ...(drum.layer !== undefined && { layer: parseLayer(`${path}.layer`, drum.layer, sampleRateHz) }),
    ...(drum.bleed !== undefined && { bleed: options(`${path}.bleed`, bleedParameters, drum.bleed, sampleRateHz) }),
  };
}

function parseLayer(path: string, value: unknown, sampleRateHz: number): LayerPlan {
  const [rest, own] = split(requireObject(path, value), ['samples']);
  const samples = requireList(`${path}.samples`, rest.samples).map((layer, l): LayerFilesPlan => {
    const at = `${path}.samples[${l}]`,
      files = requireObject(at, layer);
    requireMembers(at, files, ['velocity', 'files']);
    const paths = requireList(`${at}.files`, files.files).map((file, f) => requireText(`${at}.files[${f}]`, file));
    if (paths.length === 0) throw new RangeError(`${at}.files must hold at least one file`);
    return { velocity: requireRange(`${at}.velocity`, files.velocity, 0, 127), files: paths };
  });
  if (samples.length === 0) throw new RangeError(`${path}.samples must hold at least one layer`);
  return { samples, options: options(path, layerParameters, own, sampleRateHz) };
}

/** Options as they were given, once they are known to fit the table. */
function options<T extends ParameterTable>(
  path: string,
  table: T,
  value: unknown,
  sampleRateHz: number,
): ParameterOptions<T> {
  const given = requireObject(path, value) as ParameterOptions<T>;
  resolveParameters(member(path, ''), table, given, sampleRateHz);
  return given;
}
