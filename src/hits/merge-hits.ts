/**
 * Hand edits, and how they survive a new detection.
 *
 *     before     detected   edited   imported   deleted          kept: edited, imported, deletions
 *     detected       |         |                    |            new:  what is near none of these
 *     after          |         e        i
 *
 * To move a hit is to remove it and to add it elsewhere.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { type DeletedHit, type Hit, type HitList, hitListOf, parseHit } from './hit-list.ts';

const NEAR_MS = 20; // less than two strokes of one drum are apart, more than two detections of one stroke

const sameHit = (a: DeletedHit, b: DeletedHit, samples: number): boolean =>
  a.drum === b.drum && Math.abs(a.sample - b.sample) <= samples;

/**
 * A list with one more hit, made by hand. It takes the place of any hit of its drum within 20 ms, and of a deletion.
 * @throws TypeError or RangeError if the hit is none
 */
export function addHit(list: HitList, hit: Omit<Hit, 'source'>): HitList {
  const near = (NEAR_MS / 1000) * list.sampleRateHz;
  const others = <H extends DeletedHit>(hits: readonly H[]) => hits.filter((other) => !sameHit(other, hit, near));
  const edited = parseHit('addHit: hit', { ...hit, source: 'edited' });
  return hitListOf(list.sampleRateHz, [...others(list.hits), edited], others(list.rejected), others(list.deletions));
}

/**
 * A list without the hit of `drum` that is nearest to `sample`; a new detection does not bring it back.
 *
 * @throws RangeError if there is none within 20 ms
 */
export function removeHit(list: HitList, drum: string, sample: number): HitList {
  const near = (NEAR_MS / 1000) * list.sampleRateHz;
  const found = list.hits
    .filter((hit) => sameHit(hit, { drum, sample }, near))
    .sort((a, b) => Math.abs(a.sample - sample) - Math.abs(b.sample - sample))[0] as Hit | undefined;
  if (found === undefined)
    throw new RangeError(`removeHit: ${drum} has no hit within ${NEAR_MS} ms of sample ${sample}`);
  const hits = list.hits.filter((hit) => hit !== found);
  return hitListOf(list.sampleRateHz, hits, list.rejected, [...list.deletions, { drum, sample: found.sample }]);
}

/**
 * A new detection, under the edits of an earlier list: its edited and imported hits, and its deletions, stand; what has been
 * detected anew counts where it is more than `toleranceMs` away from them.
 *
 * @param toleranceMs - 0 to 1000
 * @throws RangeError if the sample rates differ, or the tolerance is out of range
 */
export function mergeHits(previous: HitList, detected: HitList, toleranceMs = NEAR_MS): HitList {
  requireRange('mergeHits: toleranceMs', toleranceMs, 0, 1000);
  const { sampleRateHz, deletions } = previous;
  if (detected.sampleRateHz !== sampleRateHz) {
    throw new RangeError(`mergeHits: sampleRateHz must be ${sampleRateHz} in both lists, got ${detected.sampleRateHz}`);
  }
  const kept = previous.hits.filter(({ source }) => source !== 'detected');
  const near = (toleranceMs / 1000) * sampleRateHz;
  const untouched = <H extends DeletedHit>(hits: readonly H[]) =>
    hits.filter((hit) => ![...kept, ...deletions].some((edit) => sameHit(edit, hit, near)));
  return hitListOf(sampleRateHz, [...kept, ...untouched(detected.hits)], untouched(detected.rejected), deletions);
}
