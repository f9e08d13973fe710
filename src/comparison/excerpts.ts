/**
 * Excerpts for listening: the same loudness, the same length, each beginning at a hit.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { cos } from '../core/maths.ts';
import { requireInteger, requireRange } from '../core/check.ts';
import { LoudnessMeter, measureLoudness } from '../meters/loudness.ts';
import { readSection, type Recording, requireRecording, sectionOf } from './recording.ts';

/** Which part of a track, and how loud. */
export interface ExcerptOptions {
  /** Where it begins, a whole number; the loudest place, at a rise of its energy, unless given. */
  readonly startSample?: number | undefined;
  /** 1 to 60; 10 unless given. */
  readonly seconds?: number | undefined;
  /** Loudness of every excerpt: quiet, since somebody will put it on headphones. -23 unless given (EBU R 128). */
  readonly loudnessLufs?: number | undefined;
  /** Length of the fade at its beginning, which goes before the hit; 0.05 unless given, at most 10. */
  readonly fadeInSeconds?: number | undefined;
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

/**
 * What brings a recording to a loudness, in dB.
 *
 * @param loudnessLufs - what is asked for: any loudness that a meter tells, -70 to 30
 * @throws RangeError for another loudness, and for a recording without any
 */
export function levelMatch(recording: Recording, loudnessLufs: number): number {
  const frames = requireRecording('levelMatch', recording);
  requireRange('levelMatch: loudnessLufs', loudnessLufs, -70, 30);
  const meter = new LoudnessMeter({ sampleRateHz: recording.sampleRateHz, channels: recording.channels.length });
  readSection(recording, { start: 0, end: frames }, (piece) => {
    meter.process(piece);
  });
  return gainTo(loudnessLufs, meter.integratedLufs, 'levelMatch: the recording');
}

/** Cuts an excerpt with fades. @throws RangeError for options out of range, or an excerpt without loudness */
export function excerptOf(recording: Recording, options: ExcerptOptions = {}): Excerpt {
  const frames = requireRecording('excerptOf', recording);
  const { sampleRateHz } = recording;
  const seconds = requireRange('excerptOf: seconds', options.seconds ?? 10, 1, 60);
  const target = requireRange('excerptOf: loudnessLufs', options.loudnessLufs ?? -23, -60, 0);
  const fadeIn = requireRange('excerptOf: fadeInSeconds', options.fadeInSeconds ?? FADE_SECONDS, 0, 10);
  const length = Math.min(frames, Math.round(seconds * sampleRateHz));
  const startSample =
    options.startSample === undefined
      ? Math.max(0, Math.min(frames - length, loudestRise(recording, frames, length) - leadOf(fadeIn, sampleRateHz)))
      : requireInteger('excerptOf: startSample', options.startSample, 0, Math.max(0, frames - length));
  const piece = sectionOf(recording, { start: startSample, end: startSample + length });
  for (const x of piece) {
    fade(x, Math.round(fadeIn * sampleRateHz), (i) => i);
    fade(x, Math.round(FADE_SECONDS * sampleRateHz), (i) => length - 1 - i);
  }
  const gainDb = gainTo(target, measureLoudness(piece, sampleRateHz), 'excerptOf: the excerpt');
  const gain = dbToGain(gainDb);
  return { startSample, gainDb, channels: piece.map((x) => scaled(x, gain)) };
}

function gainTo(targetLufs: number, ownLufs: number, what: string): number {
  if (!Number.isFinite(ownLufs)) throw new RangeError(`${what} must have sound above -70 LUFS for 400 ms`);
  return targetLufs - ownLufs;
}

function scaled(x: Float64Array, gain: number): Float32Array {
  const y = new Float32Array(x.length);
  for (let i = 0; i < x.length; i++) y[i] = gain * x[i];
  return y;
}

/** A long fade is over when the hit comes; a short one lies on it. */
function leadOf(fadeInSeconds: number, sampleRateHz: number): number {
  return Math.round(Math.max(0, fadeInSeconds - FADE_SECONDS) * sampleRateHz);
}

/** Half a cosine over at most half of the samples, from the one that `place(0)` tells on. */
function fade(x: Float64Array, samples: number, place: (i: number) => number): void {
  const count = Math.min(x.length >> 1, samples);
  for (let i = 0; i < count; i++) x[place(i)] *= 0.5 - 0.5 * cos((Math.PI * (i + 1)) / (count + 1));
}

/** Start of the steepest rise of energy within a second after the start of the loudest stretch of this length. */
function loudestRise(recording: Recording, frames: number, length: number): number {
  const step = Math.round(STEP_SECONDS * recording.sampleRateHz);
  const energies = Array.from({ length: Math.floor(frames / step) }, (_, s) => {
    let sum = 0;
    readSection(recording, { start: s * step, end: (s + 1) * step }, (piece) => {
      for (const x of piece) for (let i = 0; i < x.length; i++) sum += x[i] * x[i];
    });
    return sum;
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
