/**
 * The places at which two microphones are compared: hits, or stretches of a sound that has none.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { requireList } from '../core/json-check.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { pickHits } from './hit-picker.ts';

/** More hits make no better estimate, but more work. */
const MOST_HITS = 256;
/** Hits more than 12 dB below the loudest may be other drums. */
const SHARE_OF_LOUDEST = 0.25;
/** With fewer rises than this, the sound is taken as a steady one. */
const FEWEST_HITS = 2;
const STRETCH_SECONDS = 0.0035;
const MOST_STRETCHES = 64;

/** Places in a sound. */
export interface Places {
  /** Whole numbers, by time. */
  readonly samples: readonly number[];
  /** Whether they are stretches of a sound without hits. */
  readonly steady: boolean;
}

/** @throws TypeError for what is no list of numbers, RangeError for a hit outside 0 to `frames` */
export function requireHits(path: string, hits: readonly number[], frames: number): void {
  for (const [i, hit] of requireList(path, hits).entries()) requireRange(`${path}[${i}]`, hit, 0, frames);
}

/** The hits given, or those picked from the source, the loudest if there are too many. */
export function placesToCompare(
  source: SampleSource,
  sampleRateHz: number,
  hitSamples: readonly number[] | undefined,
): Places {
  if (hitSamples !== undefined) {
    requireHits('estimateDelay: hitSamples', hitSamples, source.frames);
    return { samples: evenly(hitSamples.map(Math.round)), steady: false };
  }
  const hits = pickHits(source, sampleRateHz, SHARE_OF_LOUDEST);
  if (hits.length < FEWEST_HITS) return { samples: stretches(source, sampleRateHz), steady: true };
  const loudest = [...hits].sort((a, b) => b.level - a.level).slice(0, MOST_HITS);
  return { samples: loudest.map((hit) => hit.sample).sort((a, b) => a - b), steady: false };
}

/** At most {@link MOST_HITS} of them, from all over the take. */
function evenly(samples: readonly number[]): number[] {
  const step = Math.max(1, samples.length / MOST_HITS);
  return Array.from({ length: Math.min(samples.length, MOST_HITS) }, (_, i) => samples[Math.floor(i * step)]);
}

function stretches(source: SampleSource, sampleRateHz: number): number[] {
  const length = Math.ceil(STRETCH_SECONDS * sampleRateHz);
  const count = Math.max(1, Math.min(MOST_STRETCHES, Math.floor(source.frames / length)));
  return Array.from({ length: count }, (_, i) => Math.floor((i * source.frames) / count));
}
