/**
 * Masked part: what the rest of the song covers of a mix, or of the hits of one drum, with a map that does not grow with
 * the length.
 * @module
 */
import {
  type BandMasking,
  type MaskingReport,
  maskingReport,
  type MaskingOptions,
  type Stem,
} from '../comparison/masking.ts';
import { MOST_COLUMNS } from './mix-meter.ts';

/** A part beside the rest of the song. */
export interface MaskedPart {
  /** What it is called in the facts. */
  readonly name: string;
  /** What is masked, band by band. */
  readonly bands: readonly BandMasking[];
  /** As sentences: `kick in the mix 55-87 Hz is 9 dB under bass in 70 % of its hits`. */
  readonly facts: readonly string[];
  /** The margin over time; not of single hits. */
  readonly map?: {
    /** Length of a column. */
    readonly columnSeconds: number;
    /** `marginDb[band][column]`: the least margin of each column; null where the part does not sound. */
    readonly marginDb: readonly (readonly (number | null)[])[];
  };
}

/** Compares a part with the rest of the song. */
export function maskedPart(
  name: string,
  part: Stem,
  rest: Readonly<Record<string, Stem>>,
  options: Omit<MaskingOptions, 'name'>,
): MaskedPart {
  const { bands, map, facts } = maskingReport(part, rest, { ...options, name });
  return { name, bands, facts, ...(options.hitSamples === undefined && { map: columnsOf(map, options.sampleRateHz) }) };
}

function columnsOf(
  { hopSamples, marginDb, sounds }: MaskingReport['map'],
  sampleRateHz: number,
): NonNullable<MaskedPart['map']> {
  const frames = marginDb.length,
    columns = Math.min(MOST_COLUMNS, frames);
  const least = (band: number, column: number): number | null => {
    const end = Math.floor(((column + 1) * frames) / columns);
    let lowest = Infinity;
    for (let f = Math.floor((column * frames) / columns); f < end; f++) {
      if (sounds[f][band]) lowest = Math.min(lowest, marginDb[f][band]);
    }
    return lowest === Infinity ? null : Math.round(lowest * 10) / 10;
  };
  return {
    columnSeconds: (frames * hopSamples) / sampleRateHz / columns,
    marginDb: Array.from(marginDb[0], (_, b) => Array.from({ length: columns }, (__, c) => least(b, c))),
  };
}
