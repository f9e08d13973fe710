/**
 * Finds the hits that a plan asks for: pass 1 of a mix, over the inputs alone.
 *
 *     detection, or the list that was given --> removals and additions of the plan --> hits of every drum
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import { detectHits } from '../hits/detect-hits.ts';
import type { HitList } from '../hits/hit-list.ts';
import { addHit, removeHit } from '../hits/merge-hits.ts';
import { velocityOfDb } from '../hits/velocity.ts';
import type { HitsPlan } from './hits-plan.ts';

/**
 * The hits of all drums of the plan.
 *
 * @param sourceOf - an input by its name, as a mono signal
 * @param given - a list in place of a detection
 * @throws RangeError, with a path, for a list of another sample rate, or a removal where there is no hit
 */
export function findHits(
  plan: HitsPlan,
  sampleRateHz: number,
  sourceOf: (input: string) => SampleSource,
  given?: HitList,
): HitList {
  const { drums, detection } = plan;
  if (given && given.sampleRateHz !== sampleRateHz) {
    throw new RangeError(
      `hits.file: the list must have ${sampleRateHz} Hz, as the inputs have, got ${given.sampleRateHz}`,
    );
  }
  const microphones = Object.entries(drums).map(([drum, { microphone, kind }]) => ({
    drum,
    kind,
    source: sourceOf(microphone),
  }));
  let list = given ?? detectHits(microphones, sampleRateHz, detection);
  for (const [drum, { add, remove }] of Object.entries(drums)) {
    remove.forEach((sample, r) => {
      try {
        list = removeHit(list, drum, sample);
      } catch (error) {
        throw new RangeError(`hits.drums.${drum}.remove[${r}]: ${(error as Error).message}`, { cause: error });
      }
    });
    for (const { sample, velocityDb } of add) {
      const velocity = velocityOfDb(velocityDb, { loudestDb: detection.loudestDb, rangeDb: detection.rangeDb });
      list = addHit(list, { drum, sample, velocityDb, velocity, confidence: 1 });
    }
  }
  return list;
}
