/**
 * What is measured of a microphone to tell what it is there for. None of it depends on the gain of its preamplifier.
 *
 *     lag        how much later it hears its drum than the first microphone: 0 close, 1 ms outside a kick, 3 ms above, 10 ms in
 *                the room
 *     distance   the same for the other drums, which tells an overhead from the close microphone of a cymbal
 *     openness   level of the other drums in it, where the microphone that hears each loudest is 0 dB: a close one keeps them
 *                out, an overhead hears all of them
 *     sound      spectrum, fundamental and decay of its drum (`stroke-sound.ts`)
 *     share      of all strokes that are its drum's
 *
 * Its drum is the one that it hears soonest and loudest: 1 ms later weighs as much as 3 dB less.
 *
 * @module
 */
import { median } from '../core/median.ts';
import type { SampleSource } from '../core/sample-source.ts';
import type { KitEvent } from './kit-events.ts';
import { DECAY_SECONDS, type StrokeSound, strokeSound } from './stroke-sound.ts';
import type { StruckDrum } from './struck-drums.ts';

/** Figures of one microphone; those that cannot be told are NaN. */
export interface MicrophoneFigures extends StrokeSound {
  /** Index of its drum among those that were told apart. */
  readonly drum: number;
  readonly lagMs: number;
  readonly distanceMs: number;
  readonly opennessDb: number;
  /** Share of all strokes, 0 to 1. */
  readonly share: number;
}

const DB_PER_MS = 3;
const MOST_STROKES = 16;

/** Figures of microphone `m`; undefined if none of the drums reaches it. */
export function microphoneFigures(
  m: number,
  source: SampleSource,
  drums: readonly StruckDrum[],
  events: readonly KitEvent[],
  sampleRateHz: number,
): MicrophoneFigures | undefined {
  const nearness = ({ lagsMs, levelsDb }: StruckDrum) => levelsDb[m] - DB_PER_MS * lagsMs[m];
  const heard = drums.filter((drum) => !Number.isNaN(nearness(drum)));
  if (heard.length === 0) return undefined;
  const own = heard.reduce((best, drum) => (nearness(drum) > nearness(best) ? drum : best));
  const lag = own.lagsMs[m];
  const loudest = [...own.events].sort((a, b) => b.levelsDb[m] - a.levelsDb[m]).slice(0, MOST_STROKES);
  const strokes = loudest.map((event) => {
    const next = events[events.indexOf(event) + 1] as KitEvent | undefined;
    return {
      sample: event.sample + (Number.isNaN(event.lags[m]) ? (lag * sampleRateHz) / 1000 : event.lags[m]),
      alone: next === undefined || next.sample - event.sample > DECAY_SECONDS * sampleRateHz,
    };
  });
  const others = drums.filter((drum) => drum !== own);
  return {
    drum: drums.indexOf(own),
    lagMs: lag,
    distanceMs: median(others.map(({ lagsMs }) => lagsMs[m]).filter((lag) => !Number.isNaN(lag))),
    opennessDb: others.length === 0 ? NaN : others.reduce((sum, { levelsDb }) => sum + levelsDb[m], 0) / others.length,
    share: own.events.length / events.length,
    ...strokeSound(source, strokes, sampleRateHz),
  };
}
