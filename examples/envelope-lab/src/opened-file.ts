/**
 * A file of one's own: how much of it the lab takes, and what it says about it.
 * @module
 */
import type { Sound } from './render.ts';

/** The lab takes the beginning of a file. */
export const EXCERPT_SECONDS = 10;

/** The lab takes the first channels of a file. */
export const MOST_CHANNELS = 2;

/** What was taken of a file, and what else it is. */
export interface OpenedFile {
  readonly sound: Sound;
  /** Length of the whole file. */
  readonly seconds: number;
  readonly channelsInFile: number;
  /** Whether the browser changed the sample rate. */
  readonly resampled: boolean;
}

/** The file in words. */
export function describeFile(name: string, { sound, seconds, channelsInFile, resampled }: OpenedFile): string {
  const taken = sound.channels[0].length / sound.sampleRateHz;
  const sentences = [
    `${name}: ${inWords(seconds)}, ${channelsInFile === 1 ? 'one channel' : `${channelsInFile} channels`}, ` +
      `${sound.sampleRateHz / 1000} kHz${resampled ? ', as the browser decodes it' : ''}.`,
    ...(taken < seconds - 0.001 ? [`The lab takes the first ${inWords(taken)} of it.`] : []),
    ...(channelsInFile > MOST_CHANNELS ? [`Of the channels it takes the first ${MOST_CHANNELS}.`] : []),
  ];
  return sentences.join(' ');
}

/** A length of time in words. */
export function inWords(seconds: number): string {
  if (seconds < 60) return `${Number(seconds.toFixed(2))} s`;
  const minutes = Math.floor(seconds / 60);
  return minutes < 60
    ? `${minutes} min ${Math.floor(seconds % 60)} s`
    : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}
