/**
 * The sound check: every drum is struck once with full force, every microphone is listened to, and the levels are set.
 *
 *     natural bleed of microphone m with target t:   max over drums d != t of  peak[m][d] / peak[m][t]
 *
 * If a bleed is asked for, all paths to m but the target's are scaled by one factor until that quotient is met; then
 * a preamplifier brings the loudest drum at m to the asked peak. Microphones without a target get only the latter.
 *
 * @module
 */
import { dbToGain, gainToDb } from '../core/decibels.ts';
import { type DrumName, drumNames } from './names.ts';

/** Peak of one full stroke on every drum at one microphone. */
export type DrumPeaks = Readonly<Record<DrumName, number>>;

/** What the sound check decides for one microphone. */
export interface MicrophoneLevels {
  /** Factor for the path from every drum. */
  readonly gains: Readonly<Record<DrumName, number>>;
  /** Loudest other drum over the target, after scaling; undefined without a target. */
  readonly bleedDb: number | undefined;
}

/** Sets the levels of one microphone. */
export function setLevels(
  peaks: DrumPeaks,
  target: DrumName | undefined,
  peakDb: number,
  bleedDb: number | undefined,
): MicrophoneLevels {
  const others = drumNames.filter((drum) => drum !== target);
  const loudestOther = others.reduce((most, drum) => Math.max(most, peaks[drum]), 0);
  const natural = target === undefined ? 1 : loudestOther / peaks[target];
  const bleed = target === undefined || bleedDb === undefined ? natural : dbToGain(bleedDb);
  const otherGain = bleed / natural;
  const loudest = Math.max(loudestOther * otherGain, target === undefined ? 0 : peaks[target]);
  const preamplifier = dbToGain(peakDb) / loudest;
  const gains = {} as Record<DrumName, number>;
  for (const drum of drumNames) gains[drum] = drum === target ? preamplifier : preamplifier * otherGain;
  return { gains, bleedDb: target === undefined ? undefined : gainToDb(bleed) };
}
