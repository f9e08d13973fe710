/**
 * What a mix tells of its hits.
 * @module
 */
import type { FoundHits } from './prepare-hits.ts';

/** Hits of one drum, and what followed from them. */
export interface DrumHitsReport {
  /** The drum's close microphone. */
  readonly microphone: string;
  /** How many hits were found and kept. */
  readonly hits: number;
  /** Found, and taken for bleed or doubles. */
  readonly rejected: number;
  /** Samples that were layered. */
  readonly layered?: {
    /** How many. */
    readonly samples: number;
    /** How many of them were turned over. */
    readonly turned: number;
    /** The farthest that one was moved for the best sum, in milliseconds. */
    readonly farthestMs: number;
  };
  /** Bleed that was taken out, as learnt. */
  readonly bleed?: {
    /** How far it went down, in decibels. */
    readonly bleedDownDb: number;
    /** How large the change of the drum is relative to the drum, in decibels. */
    readonly drumChangeDb: number;
  };
}

/** By the names of the drums. */
export type HitsReport = Readonly<Record<string, DrumHitsReport>>;

export function hitsReport({ list, treatments }: FoundHits): HitsReport {
  return Object.fromEntries(
    treatments.map(({ drum, microphone, bleed, placed }): [string, DrumHitsReport] => {
      const count = (hits: readonly { readonly drum: string }[]) => hits.filter((hit) => hit.drum === drum).length;
      const placements = placed?.placements ?? [];
      const farthest = placements.reduce((most, { offsetSamples }) => Math.max(most, Math.abs(offsetSamples)), 0);
      return [
        drum,
        {
          microphone,
          hits: count(list.hits),
          rejected: count(list.rejected),
          ...(placed && {
            layered: {
              samples: placements.length,
              turned: placements.filter(({ polarity }) => polarity < 0).length,
              farthestMs: (1000 * farthest) / list.sampleRateHz,
            },
          }),
          ...(bleed && { bleed: { bleedDownDb: bleed.bleedDownDb, drumChangeDb: bleed.drumChangeDb } }),
        },
      ];
    }),
  );
}
