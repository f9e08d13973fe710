/**
 * Listening to a kit: everything that roles and settings are guessed from, gathered once.
 *
 *     microphones --> excerpts --> one peak for all --> events --> drums --> figures of every microphone
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { requireFormat } from '../core/pieces.ts';
import { gainToDb } from '../core/decibels.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { excerptOf, levelled, peakOf, stretchesOf } from './excerpt.ts';
import { type KitEvent, kitEvents } from './kit-events.ts';
import { type MicrophoneFigures, microphoneFigures } from './microphone-figures.ts';
import { type StruckDrum, struckDrums } from './struck-drums.ts';

/** A microphone of which nothing is known but its file. */
export interface UnknownMicrophone {
  /** Name of its file, which may tell something. */
  readonly file: string;
  /** Channel of the file, if it has more than one. */
  readonly channel?: number | undefined;
  /** What it recorded; all microphones have the same origin of time. */
  readonly source: SampleSource;
}

/** What was heard. Indices are those of the microphones that are not silent. */
export interface Listening {
  readonly sampleRateHz: number;
  readonly microphones: readonly UnknownMicrophone[];
  /** Excerpts as they were recorded. */
  readonly excerpts: readonly SampleSource[];
  /** Their peaks, dBFS. */
  readonly peaksDb: readonly number[];
  readonly events: readonly KitEvent[];
  readonly drums: readonly StruckDrum[];
  /** Undefined for a microphone that no stroke reaches. */
  readonly figures: readonly (MicrophoneFigures | undefined)[];
  /** Microphones left out, because they are silent. */
  readonly silent: readonly UnknownMicrophone[];
}

/** What stays below is no recording of a drum. */
const SILENCE_DB = -70;
const MOST_MICROPHONES = 64;

/** Listens to the microphones of a kit. @throws RangeError for a sample rate out of range, or no or too many microphones */
export function listen(microphones: readonly UnknownMicrophone[], sampleRateHz: number): Listening {
  requireFormat('listen', { sampleRateHz, channels: 1 });
  requireInteger('listen: number of microphones', microphones.length, 1, MOST_MICROPHONES);
  const frames = microphones.reduce((most, { source }) => Math.max(most, source.frames), 0);
  const stretches = stretchesOf(frames, sampleRateHz);
  const all = microphones.map((microphone) => {
    const excerpt = excerptOf(microphone.source, stretches);
    return { microphone, excerpt, peak: peakOf(excerpt) };
  });
  const heard = all.filter(({ peak }) => peak > 0 && gainToDb(peak) > SILENCE_DB);
  const sources = heard.map(({ excerpt, peak }) => levelled(excerpt, peak));
  const events = kitEvents(sources, sampleRateHz);
  const drums = struckDrums(events, sources.length, sampleRateHz);
  return {
    sampleRateHz,
    microphones: heard.map(({ microphone }) => microphone),
    excerpts: heard.map(({ excerpt }) => excerpt),
    peaksDb: heard.map(({ peak }) => gainToDb(peak)),
    events,
    drums,
    figures: sources.map((source, m) => microphoneFigures(m, source, drums, events, sampleRateHz)),
    silent: all.filter((entry) => !heard.includes(entry)).map(({ microphone }) => microphone),
  };
}
