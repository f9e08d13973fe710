/**
 * Hits as data: which drum was struck, when and how hard; what was taken for bleed; what a person removed.
 *
 *     hits        by time: found, placed by hand, or imported
 *     rejected    found, and then taken for another drum's bleed: each with its reason, so that a person can take it back
 *     deletions   where a person removed a hit: a new detection does not bring it back
 *
 * A list is plain JSON. Positions are samples of the recording, with their fraction; 0 is its first sample.
 *
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
import { member, requireList, requireMembers, requireName, requireObject, requireText } from '../core/json-check.ts';

/** Version of the format. */
export const HIT_LIST_VERSION = 1;

/** Where a hit comes from: found in the sound, placed or changed by hand, or read from a file. */
export const hitSources = ['detected', 'edited', 'imported'] as const;

/** Where a hit comes from. */
export type HitSource = (typeof hitSources)[number];

/** One blow on one drum. */
export interface Hit {
  /** Name of the drum; any text. */
  readonly drum: string;
  /** Where its sound begins in the drum's microphone, in samples with their fraction, 0 or above. */
  readonly sample: number;
  /** Peak of the drum's key band at the microphone after the onset, -200 to 60 dBFS. */
  readonly velocityDb: number;
  /** The same on the scale of MIDI, 0 to 127, fractional, by the curve of `velocityOfDb`. */
  readonly velocity: number;
  /** 0 (a guess) to 1 (certain). */
  readonly confidence: number;
  /** Whether it was detected, imported or set by hand. */
  readonly source: HitSource;
}

/** Something found that is no hit of its drum. */
export interface RejectedHit extends Hit {
  /** Why it does not count, as a sentence. */
  readonly reason: string;
}

/** Where somebody removed a hit by hand. */
export interface DeletedHit {
  /** Name of the drum that was struck. */
  readonly drum: string;
  /** Where it rises, in samples from the start, fractional. */
  readonly sample: number;
}

/** All hits of one recording. */
export interface HitList {
  /** Version of this format. */
  readonly version: typeof HIT_LIST_VERSION;
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Sorted by `sample`. */
  readonly hits: readonly Hit[];
  /** Sorted by `sample`. */
  readonly rejected: readonly RejectedHit[];
  /** Sorted by `sample`. */
  readonly deletions: readonly DeletedHit[];
}

/** Ranges of the numbers of a list; the largest sample is the largest that a file of 2^32 bytes could number. */
export const hitRanges = {
  sampleRateHz: { min: 8000, max: 384000 },
  sample: { min: 0, max: 4294967295 },
  velocityDb: { min: -200, max: 60 },
  velocity: { min: 0, max: 127 },
  confidence: { min: 0, max: 1 },
} as const;

/** Members of a hit, in the order in which they are written. */
export const hitMembers = ['drum', 'sample', 'velocityDb', 'velocity', 'confidence', 'source'] as const;

/** A list made of hits in any order. */
export function hitListOf(
  sampleRateHz: number,
  hits: readonly Hit[],
  rejected: readonly RejectedHit[] = [],
  deletions: readonly DeletedHit[] = [],
): HitList {
  const bySample = <H extends DeletedHit>(list: readonly H[]): H[] => [...list].sort((a, b) => a.sample - b.sample);
  return {
    version: HIT_LIST_VERSION,
    sampleRateHz,
    hits: bySample(hits),
    rejected: bySample(rejected),
    deletions: bySample(deletions),
  };
}

/**
 * Checks parsed JSON and returns it as a list, sorted.
 *
 * @throws TypeError or RangeError with the path of the first fault: `hits[3].velocity must be 0 to 127, got 300`
 */
export function parseHitList(json: unknown): HitList {
  const list = requireObject('hit list', json);
  requireMembers('', list, ['version', 'sampleRateHz', 'hits', 'rejected', 'deletions']);
  requireInteger('version', list.version, HIT_LIST_VERSION, HIT_LIST_VERSION);
  const each = <H>(name: string, parse: (path: string, value: unknown) => H): H[] =>
    requireList(name, list[name]).map((value, index) => parse(`${name}[${index}]`, value));
  return hitListOf(
    inRange('', list, 'sampleRateHz'),
    each('hits', parseHit),
    each('rejected', parseRejectedHit),
    each('deletions', parseDeletedHit),
  );
}

/** Checks one hit. @throws TypeError or RangeError with the path of the fault */
export function parseHit(path: string, json: unknown): Hit {
  const hit = requireObject(path, json);
  requireMembers(path, hit, hitMembers);
  return {
    ...placeOf(path, hit),
    velocityDb: inRange(path, hit, 'velocityDb'),
    velocity: inRange(path, hit, 'velocity'),
    confidence: inRange(path, hit, 'confidence'),
    source: requireName(member(path, 'source'), hit.source, hitSources) as HitSource,
  };
}

function parseRejectedHit(path: string, json: unknown): RejectedHit {
  const { reason, ...hit } = requireObject(path, json);
  return { ...parseHit(path, hit), reason: requireText(member(path, 'reason'), reason) };
}

function parseDeletedHit(path: string, json: unknown): DeletedHit {
  const hit = requireObject(path, json);
  requireMembers(path, hit, ['drum', 'sample']);
  return placeOf(path, hit);
}

function placeOf(path: string, hit: Readonly<Record<string, unknown>>): DeletedHit {
  return { drum: requireText(member(path, 'drum'), hit.drum), sample: inRange(path, hit, 'sample') };
}

function inRange(path: string, json: Readonly<Record<string, unknown>>, name: keyof typeof hitRanges): number {
  const { min, max } = hitRanges[name];
  return requireRange(member(path, name), json[name], min, max);
}
