/**
 * Excerpts for listening: the same loudness, the same length, each beginning at a hit.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { cos } from '../core/maths.ts';
import { requireRange } from '../core/check.ts';
import { measureLoudness } from '../meters/loudness.ts';
import { cut, type Recording, requireRecording } from './loud-sections.ts';

/** Which part of a track, and how loud. */
export interface ExcerptOptions {
  /** Where it begins; the loudest place, at a rise of its energy, unless given. */
  readonly startSample?: number | undefined;
  /** 1 to 60; 10 unless given. */
  readonly seconds?: number | undefined;
  /** Loudness of every excerpt: quiet, since somebody will put it on headphones. -23 unless given (EBU R 128). */
  readonly loudnessLufs?: number | undefined;
}

/** A piece of a track, ready to be played. */
export interface Excerpt {
  /** First sample of the excerpt in the whole, 0 or more. */
  readonly startSample: number;
  /** What brought it to its loudness. */
  readonly gainDb: number;
  /** Samples, one array per channel. */
  readonly channels: readonly Float32Array[];
}

const FADE_SECONDS = 0.05;
const STEP_SECONDS = 0.01;
/** How far from the loudest place a hit is looked for. */
const HIT_SEARCH_SECONDS = 1;

/** What brings a recording to a loudness, in dB. @throws RangeError for a recording without loudness */
export function levelMatch(recording: Recording, loudnessLufs: number): number {
  requireRecording('levelMatch', recording);
  const own = measureLoudness(recording.channels, recording.sampleRateHz);
  if (!Number.isFinite(own))
    throw new RangeError('levelMatch: the recording must have sound above -70 LUFS for 400 ms');
  return loudnessLufs - own;
}

/** Cuts an excerpt with short fades. @throws RangeError for options out of range, or a recording without loudness */
export function excerptOf(recording: Recording, options: ExcerptOptions = {}): Excerpt {
  const frames = requireRecording('excerptOf', recording);
  const { sampleRateHz } = recording;
  const seconds = requireRange('excerptOf: seconds', options.seconds ?? 10, 1, 60);
  const target = requireRange('excerptOf: loudnessLufs', options.loudnessLufs ?? -23, -60, 0);
  const length = Math.min(frames, Math.round(seconds * sampleRateHz));
  const startSample =
    options.startSample === undefined
      ? Math.min(frames - length, loudestRise(recording, frames, length))
      : requireRange('excerptOf: startSample', options.startSample, 0, Math.max(0, frames - length));
  const piece = cut(recording, startSample, startSample + length);
  const gainDb = levelMatch(piece, target);
  const gain = dbToGain(gainDb),
    fade = Math.min(length >> 1, Math.round(FADE_SECONDS * sampleRateHz));
  const channels = piece.channels.map((x) =>
    Float32Array.from(x, (sample, i) => {
      const inside = Math.min(i + 1, length - i);
      return inside >= fade ? gain * sample : gain * sample * (0.5 - 0.5 * cos((Math.PI * inside) / fade));
    }),
  );
  return { startSample, gainDb, channels };
}

/** Start of the steepest rise of energy within a second after the start of the loudest stretch of this length. */
function loudestRise(recording: Recording, frames: number, length: number): number {
  const step = Math.round(STEP_SECONDS * recording.sampleRateHz);
  const energies = Array.from({ length: Math.floor(frames / step) }, (_, s) => {
    let sum = 0;
    for (const x of recording.channels) for (let i = s * step; i < (s + 1) * step; i++) sum += x[i] * x[i];
    return Number.isFinite(sum) ? sum : 0;
  });
  const sums = new Float64Array(energies.length + 1);
  energies.forEach((energy, s) => (sums[s + 1] = sums[s] + energy));
  const span = Math.min(energies.length, Math.floor(length / step));
  let first = 0;
  for (let s = 1; s + span <= energies.length; s++)
    if (sums[s + span] - sums[s] > sums[first + span] - sums[first]) first = s;
  let rise = first;
  const steepness = (s: number) => energies[s] - (energies[s - 1] ?? 0);
  for (let s = first; s < Math.min(energies.length, first + HIT_SEARCH_SECONDS / STEP_SECONDS); s++) {
    if (steepness(s) > steepness(rise)) rise = s;
  }
  return Math.max(0, rise - 1) * step;
}
