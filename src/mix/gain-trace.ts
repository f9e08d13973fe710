/**
 * Gain trace: what a dynamics block of a strip does to the level over time, at the places in the mix where it is heard.
 *
 *     gain of each sample, lowest of the channels --> columns --> lowest and highest of each, mean of all
 *
 * All gains are relative to the block at rest, so that a make-up does not hide a reduction.
 *
 * @module
 */
import { cutIntoPieces } from '../core/pieces.ts';
import { staticGain } from '../dynamics/static-curve.ts';
import type { TimeColumns } from './time-columns.ts';

/** What a dynamics block did, in dB relative to its gain at rest: negative where it reduced. */
export interface GainReport {
  /** Lowest gain: the most that it reduced. */
  readonly lowestDb: number;
  /** Mean over the whole mix. */
  readonly meanDb: number;
  /** Highest gain: above 0 where it raised. */
  readonly highestDb: number;
  /** The same over time: columns of equal length from the beginning to the end of the mix. */
  readonly columns: {
    /** Lowest gain of each column. */
    readonly lowestDb: readonly number[];
    /** Highest gain of each column. */
    readonly highestDb: readonly number[];
  };
}

/** Gathers the gains of one block. */
export class GainTrace {
  /** Where the block writes, piece by piece of a chunk. */
  readonly pieces: readonly { readonly gainDb: Float64Array[] }[];
  readonly #rows: readonly Float64Array[];
  readonly #columns: TimeColumns;
  readonly #late: number;
  readonly #restDb: number;

  /**
   * @param late - samples by which what leaves the block is later than the same place in the mix
   * @param restDb - gain of the block at rest
   */
  constructor(channels: number, chunkFrames: number, columns: TimeColumns, late: number, restDb: number) {
    this.#rows = Array.from({ length: channels }, () => new Float64Array(chunkFrames));
    this.pieces = cutIntoPieces(this.#rows).map((gainDb) => ({ gainDb }));
    this.#columns = columns;
    this.#late = late;
    this.#restDb = restDb;
  }

  /** Takes the first `frames` of the trace, which have left the block at `now`. */
  take(now: number, frames: number): void {
    const rows = this.#rows,
      lowest = rows[0];
    for (let c = 1; c < rows.length; c++) {
      const row = rows[c];
      for (let i = 0; i < frames; i++) if (row[i] < lowest[i]) lowest[i] = row[i];
    }
    this.#columns.add(lowest, 0, frames, now - this.#late);
  }

  /** What has been gathered; undefined if nothing has. */
  get report(): GainReport | undefined {
    const { lowest, highest, mean } = this.#columns;
    if (mean === null) return undefined;
    const rest = this.#restDb;
    const relative = (values: Float64Array) =>
      Array.from(values).flatMap((value) => (Number.isFinite(value) ? [value - rest] : []));
    const columns = { lowestDb: relative(lowest), highestDb: relative(highest) };
    return {
      lowestDb: Math.min(...columns.lowestDb),
      meanDb: mean - rest,
      highestDb: Math.max(...columns.highestDb),
      columns,
    };
  }
}

/** Gain, in dB, of a block of this type and these values that has nothing to do: the make-up of a compressor, else 0. */
export function restGainDb(type: string, values: Readonly<Record<string, unknown>>): number {
  if (type !== 'compressor') return 0;
  const { makeupDb, automaticMakeup, thresholdDb, ratio, kneeDb, rangeDb } = values as Record<string, number>;
  const fromFullScale = Math.max(-rangeDb, staticGain(0, { thresholdDb, ratio, kneeDb }));
  return makeupDb - (automaticMakeup ? fromFullScale / 2 : 0);
}
