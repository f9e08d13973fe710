/**
 * What is mixed: a recording for each input of the plan, at one sample rate, and how they are brought in time.
 * @module
 */
import type { AppliedMoves } from 'batterhead/alignment';

/** Rate of the page: recordings at another are converted. */
export const SAMPLE_RATE_HZ = 48000;

/** The recordings. */
export interface Session {
  readonly frames: number;
  /** By the names of the plan's inputs; one that is missing is silent. */
  readonly tracks: Readonly<Record<string, Float32Array>>;
  /** Found once, over the whole recordings: the moves that the offline mix finds, too. */
  readonly alignment: AppliedMoves;
  /** What there is to say about the recordings. */
  readonly notes: readonly string[];
}

/** How loud the mix is with and without processing, over the whole session; -Infinity for silence. */
export interface LoudnessPair {
  readonly processedLufs: number;
  readonly unprocessedLufs: number;
  /** Time, in samples after the inputs, at which each strip's chain ends. */
  readonly endSamples: Readonly<Record<string, number>>;
}
