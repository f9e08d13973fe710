/**
 * What a mix tells of its hits.
 * @module
 */
import type { PreparedHits } from './prepare-hits.ts';

/** Hits of one drum, and what followed from them. */
export interface DrumHitsReport {
  readonly microphone: string;
  readonly hits: number;
  /** Found, and taken for bleed or doubles. */
  readonly rejected: number;
  /** Samples that were layered: how many, how many of them turned over, and the farthest moved for the best sum. */
  readonly layered?: { readonly samples: number; readonly turned: number; readonly farthestMs: number };
  /** Bleed that was taken out, as learnt: how far it went down, and how large the change of the drum is relative to it. */
  readonly bleed?: { readonly bleedDownDb: number; readonly drumChangeDb: number };
}

/** By the names of the drums. */
export type HitsReport = Readonly<Record<string, DrumHitsReport>>;

export function hitsReport({ list, treatments }: PreparedHits): HitsReport {
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
