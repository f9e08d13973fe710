/**
 * Pre-delay of a space from the tempo: the longest of the 1/32, 1/64, 1/128 ... notes that is at most 35 ms.
 *
 *     1/32 note at 120 to the minute   62.5 ms          1/64   31.25 ms  <--          1/128   15.6 ms
 *
 * So far behind the drum, the space is heard apart from it and still with it, and falls on the grid of the song. Halving
 * and doubling the tempo leaves it the same, so that it does not matter which of them was found. Common practice: 15 to 35 ms.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';

const LONGEST_MS = 35;

/** Pre-delay in ms, above 17.5 and at most 35, for a tempo of 20 to 400 quarter notes to the minute. @throws RangeError beyond */
export function preDelayMs(tempoBpm: number): number {
  let ms = 60_000 / requireRange('preDelayMs: tempoBpm', tempoBpm, 20, 400);
  while (ms > LONGEST_MS) ms /= 2;
  return ms;
}

/** Name of the note that a pre-delay is at a tempo: 1/64. */
export function noteOf(ms: number, tempoBpm: number): string {
  return `1/${Math.round((4 * 60_000) / tempoBpm / ms)}`;
}
