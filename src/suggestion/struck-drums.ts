/**
 * Which strokes belong to one drum: those that one microphone hears first, for the close microphone of a drum leads.
 *
 *     first heard by   kickIn    snareTop  snareBottom   hat        (3 strokes at least)
 *                         |          \___ 0.1 ms ___/     |
 *     drums               0                1              2
 *
 * Microphones that hear each other's strokes within 0.5 ms (17 cm) stand at one drum. A drum without a close microphone
 * counts to the nearest one. Who leads but hears it 6 dB softer than another heard something else: a reflection, or a stroke
 * whose beginning was missed. Source: the arrival of the direct sound tells the distance; 343 m/s is 2.9 ms per metre.
 *
 * @module
 */
import { median } from '../core/median.ts';
import type { KitEvent } from './kit-events.ts';

/** Strokes that are taken for those of one drum, and how every microphone hears them. */
export interface StruckDrum {
  /** Microphones that lead at it. */
  readonly leaders: readonly number[];
  /** By time. */
  readonly events: readonly KitEvent[];
  /** How much later than the first each microphone hears it, median in ms; NaN if it never does. */
  readonly lagsMs: readonly number[];
  /** Median level in each microphone relative to the one that hears it loudest; every microphone's own loudest stroke is 0 dB. */
  readonly levelsDb: readonly number[];
}

const FEWEST_STROKES = 3;
/** Microphones that hear a drum so soon after each other stand at it: 17 cm. */
export const SAME_DRUM_MS = 0.5;
const SOFTEST_LEADER_DB = -6;

/** The drums of a kit with so many microphones. */
export function struckDrums(events: readonly KitEvent[], microphones: number, sampleRateHz: number): StruckDrum[] {
  const heard = (own: readonly KitEvent[], m: number) =>
    (median(own.map(({ lags }) => lags[m]).filter((lag) => !Number.isNaN(lag))) * 1000) / sampleRateHz;
  const loudness = (own: readonly KitEvent[], m: number) =>
    median(own.map(({ levelsDb }) => levelsDb[m] - levelsDb.reduce((a, b) => Math.max(a, b))));
  const led = Array.from({ length: microphones }, (_, m) => events.filter(({ first }) => first === m));
  const drums: number[][] = [];
  led.forEach((own, m) => {
    if (own.length < FEWEST_STROKES || loudness(own, m) < SOFTEST_LEADER_DB) return;
    const near = (other: number) => heard(own, other) < SAME_DRUM_MS && heard(led[other], m) < SAME_DRUM_MS;
    const drum = drums.find((leaders) => leaders.some(near));
    if (drum) drum.push(m);
    else drums.push([m]);
  });
  return drums.map((leaders) => {
    const own = events.filter(({ first }) => leaders.includes(first));
    const each = Array.from({ length: microphones }, (_, m) => m);
    return {
      leaders,
      events: own,
      lagsMs: each.map((m) => heard(own, m)),
      levelsDb: each.map((m) => loudness(own, m)),
    };
  });
}
