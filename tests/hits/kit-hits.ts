/** The simulated kit as hit detection sees it: its close microphones, its strokes with softer ghost notes, its truth. */
import { Random } from '../../src/core/random.ts';
import { sourceOf } from '../../src/core/sample-source.ts';
import type { DrumMicrophone } from '../../src/hits/detect-hits.ts';
import { type HitList, hitListOf } from '../../src/hits/hit-list.ts';
import { velocityOfDb } from '../../src/hits/velocity.ts';
import type { DrumName, MicrophoneName } from '../../src/simulation/names.ts';
import { play, type Stroke } from '../../src/simulation/player.ts';
import type { SimulatedKit } from '../../src/simulation/simulate-kit.ts';

const MICROPHONES = {
  kick: ['kickIn', 'kick'],
  snare: ['snareTop', 'snare'],
  tom1: ['tom1', 'rackTom'],
  tom2: ['tom2', 'floorTom'],
  hat: ['hat', 'hat'],
  ride: ['ride', 'ride'],
} as const satisfies Partial<Record<DrumName, readonly [MicrophoneName, DrumMicrophone['kind']]>>;

export type CloseDrum = keyof typeof MICROPHONES;

export function closeMicrophones(kit: SimulatedKit): DrumMicrophone[] {
  return Object.entries(MICROPHONES).map(([drum, [microphone, kind]]) => ({
    drum,
    kind,
    source: sourceOf(kit.microphones[microphone]),
  }));
}

/** The strokes of the player, with ghost notes drawn anew: evenly in dB from -20 to -14 dB below full force. */
export function ghostly(seed: number, bars: number): Stroke[] {
  const random = new Random(seed);
  const strokes = play({ seed, tempoBpm: 116, bars, timingMs: 4, velocitySpread: 0.06 });
  return strokes.map((stroke) =>
    stroke.drum === 'snare' && stroke.velocity < 0.3
      ? { ...stroke, velocity: 10 ** ((-20 + 6 * random.next()) / 20) }
      : stroke,
  );
}

/** When and how hard a drum was struck, as its close microphone could know it; full force is 0 dB. */
export function truthOf(kit: SimulatedKit, drum: CloseDrum, softestDb = -Infinity): HitList {
  const hits = kit.truth.hits.flatMap((hit) => {
    const velocityDb = 20 * Math.log10(hit.velocity);
    if (hit.drum !== drum || velocityDb < softestDb) return [];
    const sample = hit.arrivals[MICROPHONES[drum][0]];
    return { drum, sample, velocityDb, velocity: velocityOfDb(velocityDb), confidence: 1, source: 'imported' as const };
  });
  return hitListOf(kit.sampleRateHz, hits);
}
