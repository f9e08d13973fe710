/**
 * Hits that one drum has for itself: those at which its own close microphone leads the kit, in time and in level.
 *
 *     snare  ____|\_______________|\____          a rise in every microphone, later and smaller where it is bleed
 *     kick   _____._____|\________|\____
 *                ^ snare   ^ kick     ^ both: of no use to either
 *
 * Gains differ, so each microphone's rises are measured by its usual hit: the median of those at which it leads. That is
 * found by turns, beginning with the louder ones of all rises, and never falls: a drum that is hardly struck leads at
 * a few soft rises by chance, and measured by those its bleed would drown the others' hits. Where several drums sound
 * together, each is bleed to the other, with delays of its own.
 *
 * @module
 */
import type { PickedHit } from './hit-picker.ts';

/** Rises in the close microphone of one drum. */
export interface CloseHits {
  readonly drum: string;
  readonly hits: readonly PickedHit[];
}

const TURNS = 4;
/** An earlier stroke on another drum still clicks for so long, unless it is softer by 12 dB. */
const BEFORE_MS = 15;
const EARLIER_SHARE = 0.25;
/** What comes up to so much earlier, or later within the stretch compared, may be the bleed of this hit: softer by 2 dB. */
const TOGETHER_MS = 0.3;
const AFTER_MS = 4;
const TOGETHER_SHARE = 0.8;
/** What is softer than the usual hit by 10 dB is a ghost note or bleed. */
const LOUD_SHARE = 0.3;
/** With fewer hits than these, disturbed ones are better than none, up to twice what is tolerated. */
const ENOUGH_HITS = 24;
const MOST_DISTURBANCE = 2;
/** Rank of the rise by which a microphone is measured at first. */
const FIRST_RANK = 0.9;

/** For every microphone, the whole samples at which it leads: the least disturbed ones, if few are undisturbed. */
export function leadingHits(microphones: readonly CloseHits[], sampleRateHz: number): number[][] {
  const perMs = sampleRateHz / 1000;
  let usual = microphones.map(({ hits }) => levelAt(hits, FIRST_RANK));
  let ranked: { hit: PickedHit; disturbance: number }[][] = [];
  for (let turn = 0; turn < TURNS; turn++) {
    const relative = microphones.map(({ hits }, m) =>
      hits.map(({ sample, level }) => ({ sample, level: level / usual[m] })),
    );
    ranked = microphones.map(({ drum }, own) => {
      const rivals = relative.filter((_, m) => microphones[m].drum !== drum);
      return relative[own]
        .map((hit, i) => ({
          hit: microphones[own].hits[i],
          level: hit.level,
          disturbance: rivals.reduce((most, rival) => Math.max(most, disturbance(rival, hit, perMs, turn === 0)), 0),
        }))
        .filter(({ level }) => level > LOUD_SHARE)
        .sort((a, b) => a.disturbance - b.disturbance);
    });
    usual = usual.map((level, m) => {
      const leading = ranked[m].filter((entry) => entry.disturbance < 1).map((entry) => entry.hit);
      return leading.length > 0 ? Math.max(level, levelAt(leading, 0.5)) : level;
    });
  }
  return ranked.map((entries) =>
    entries
      .filter(({ disturbance }, i) => disturbance < 1 || (i < ENOUGH_HITS && disturbance < MOST_DISTURBANCE))
      .map(({ hit }) => hit.sample)
      .sort((a, b) => a - b),
  );
}

/** Level of another microphone's hits near this one that are no bleed of it, relative to what is tolerated. */
function disturbance(others: readonly PickedHit[], hit: PickedHit, perMs: number, byTimeAlone: boolean): number {
  let most = 0;
  for (let i = firstFrom(others, hit.sample - BEFORE_MS * perMs); i < others.length; i++) {
    const { sample, level } = others[i];
    if (sample > hit.sample + AFTER_MS * perMs) break;
    if (byTimeAlone && sample > hit.sample + TOGETHER_MS * perMs) break;
    const earlier = sample < hit.sample - TOGETHER_MS * perMs;
    most = Math.max(most, level / hit.level / (earlier ? EARLIER_SHARE : TOGETHER_SHARE));
  }
  return most;
}

/** Index of the first hit at `sample` or later. */
function firstFrom(hits: readonly PickedHit[], sample: number): number {
  let from = 0;
  let to = hits.length;
  while (from < to) {
    const middle = (from + to) >> 1;
    if (hits[middle].sample < sample) from = middle + 1;
    else to = middle;
  }
  return from;
}

/** Level at a rank from 0 (softest) to 1 (loudest); 1 if there is none, for the sake of the quotient. */
function levelAt(hits: readonly PickedHit[], rank: number): number {
  const sorted = hits.map((hit) => hit.level).sort((a, b) => a - b);
  return sorted.length === 0 ? 1 : sorted[Math.floor(rank * (sorted.length - 1))];
}
