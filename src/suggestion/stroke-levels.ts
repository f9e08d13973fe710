/**
 * How hard and how fast a drum is struck, as one microphone hears it.
 *
 *     peak of each hit over 50 ms                           the typical hit is the median, the loudest the greatest
 *     centroid = sum t x(t)^2 / sum x(t)^2  over 100 ms     how long the transient is: half of what comes first is over
 *
 * Source: ISO/IEC 15938-4 (MPEG-7 audio), temporal centroid (from memory), over the beginning of a hit alone.
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import { median } from '../core/median.ts';
import type { SampleSource } from '../core/sample-source.ts';

/** Figures of the hits. */
export interface StrokeLevels {
  /** Peak of the typical hit, dBFS. */
  readonly medianDb: number;
  /** Median of the temporal centroids. */
  readonly transientMs: number;
}

const PEAK_SECONDS = 0.05;
const TRANSIENT_SECONDS = 0.1;

/** Figures of hits at these samples, of which there must be one. */
export function strokeLevels(source: SampleSource, hits: readonly number[], sampleRateHz: number): StrokeLevels {
  const x = new Float64Array(Math.round(TRANSIENT_SECONDS * sampleRateHz));
  const peakLength = Math.round(PEAK_SECONDS * sampleRateHz);
  const peaks: number[] = [],
    centroids: number[] = [];
  for (const hit of hits) {
    source.read(Math.floor(hit), x);
    let peak = 0,
      energy = 0,
      moment = 0;
    for (let i = 0; i < x.length; i++) {
      const power = x[i] * x[i];
      if (i < peakLength) peak = Math.max(peak, Math.abs(x[i]));
      energy += power;
      moment += i * power;
    }
    if (energy === 0) continue;
    peaks.push(peak);
    centroids.push((1000 * moment) / energy / sampleRateHz);
  }
  return { medianDb: gainToDb(median(peaks)), transientMs: median(centroids) };
}
