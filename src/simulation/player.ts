/**
 * The player: turns bars into strokes, a little early or late, a little louder or softer than written.
 *
 * @module
 */
import { barAt, stepMarks, STEPS_PER_BAR } from './groove.ts';
import { type DrumName, drumNames, type StrokeName } from './names.ts';
import { playerRandom } from './streams.ts';

/** One stroke. */
export interface Stroke {
  readonly drum: DrumName;
  readonly stroke: StrokeName;
  /** Time of the blow from the start of the recording. */
  readonly seconds: number;
  /** Force of the blow, above 0 and up to 1: the peak of its sound is in proportion. */
  readonly velocity: number;
}

/** The figures that the player needs. */
export interface PlayerSettings {
  readonly seed: number;
  readonly tempoBpm: number;
  readonly bars: number;
  readonly timingMs: number;
  readonly velocitySpread: number;
}

/** Silence before the first bar: room for an early stroke and for measuring noise. */
export const LEAD_IN_SECONDS = 0.25;

const MOST_DEVIATIONS = 3;
const SOFTEST = 0.05;

/** All strokes, sorted by time. */
export function play(settings: PlayerSettings): Stroke[] {
  const random = playerRandom(settings.seed);
  const deviation = () => Math.max(-MOST_DEVIATIONS, Math.min(MOST_DEVIATIONS, random.normal()));
  const stepSeconds = 60 / settings.tempoBpm / 4;
  const strokes: Stroke[] = [];
  for (let index = 0; index <= settings.bars; index++) {
    const bar = barAt(index, settings.bars);
    for (let step = 0; step < STEPS_PER_BAR; step++) {
      for (const drum of drumNames) {
        const mark = stepMarks[bar[drum]?.[step] ?? '.'];
        if (!mark) continue;
        const written = LEAD_IN_SECONDS + (index * STEPS_PER_BAR + step) * stepSeconds;
        const seconds = written + (settings.timingMs / 1000) * deviation();
        const velocity = mark.velocity * (1 + settings.velocitySpread * deviation());
        strokes.push({ drum, stroke: mark.stroke, seconds, velocity: Math.max(SOFTEST, Math.min(1, velocity)) });
      }
    }
  }
  return strokes.sort((a, b) => a.seconds - b.seconds);
}
