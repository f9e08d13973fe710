/**
 * What a gate would hear of a microphone: how loud its softest hit is, and how loud what is no hit.
 *
 *     microphone --> key filter around the fundamental --> peak in 5 ms from each hit: the softest but one in ten
 *                                                     \--> peak in the gaps between hits: the bleed
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { Equaliser } from '../filters/equaliser.ts';
import type { EqualiserBandOptions } from '../filters/equaliser-bands.ts';

/** Peaks behind a key filter. One hit in ten may be softer: what was found there is most often none. */
export interface KeyLevels {
  readonly softestDb: number;
  readonly bleedDb: number;
}

const ATTACK_MS = 5;
/** A hit opens a gate that looks ahead by this before it. */
const BEFORE_MS = 2;
const SOFTER_SHARE = 0.1;
const PIECE = 8192;
const SILENCE_DB = -120;

/** A source behind a filter, to be read from its beginning on without a gap. */
export function filtered(
  source: SampleSource,
  sampleRateHz: number,
  bands: readonly EqualiserBandOptions[],
): SampleSource {
  const equaliser = new Equaliser({ sampleRateHz, channels: 1 }, bands);
  return {
    frames: source.frames,
    read(start, into) {
      if (start === 0) equaliser.reset();
      source.read(start, into);
      equaliser.process([into], [into]);
    },
  };
}

/** The levels of a key. @param gapAfter - samples from a hit to the gap behind it */
export function keyLevels(
  key: SampleSource,
  hits: readonly number[],
  gapAfter: number,
  sampleRateHz: number,
): KeyLevels {
  const attack = millisecondsToSamples(ATTACK_MS, sampleRateHz),
    before = millisecondsToSamples(BEFORE_MS, sampleRateHz);
  const peaks = new Float64Array(hits.length);
  const piece = new Float64Array(PIECE);
  let bleed = 0,
    h = -1;
  for (let start = 0; start < key.frames; start += PIECE) {
    key.read(start, piece);
    for (let i = 0; i < PIECE; i++) {
      const at = start + i,
        level = Math.abs(piece[i]);
      while (h + 1 < hits.length && hits[h + 1] <= at) h++;
      if (h >= 0 && at - hits[h] < attack) peaks[h] = Math.max(peaks[h], level);
      const inGap = (h < 0 || at - hits[h] >= gapAfter) && (h + 1 >= hits.length || hits[h + 1] - at > before);
      if (inGap) bleed = Math.max(bleed, level);
    }
  }
  const softest = peaks.sort()[Math.floor(SOFTER_SHARE * peaks.length)];
  const inDb = (level: number) => Math.max(SILENCE_DB, gainToDb(level));
  return { softestDb: inDb(softest), bleedDb: inDb(bleed) };
}
