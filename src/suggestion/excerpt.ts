/**
 * Excerpt of a long take: stretches from all over it, one after the other, so that a suggestion costs a bounded time and
 * memory however long the take is.
 *
 *     take      |------------------------------------------------------------|
 *     excerpt      |----|        |----|        |----|        |----|               10 stretches of 30 s: the middle of
 *                                                                                 each tenth of the take
 *
 * A take of up to 5 minutes is its own excerpt. What was recorded is turned up or down to one peak for all microphones:
 * the gains of preamplifiers say nothing about what a microphone is for.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { INPUT_LIMIT } from '../core/pieces.ts';
import type { SampleSource } from '../core/sample-source.ts';

const STRETCHES = 10;
const STRETCH_SECONDS = 30;
const PEAK_DB = -6;
const PIECE = 8192;

/** A stretch of the take. */
interface Stretch {
  readonly start: number;
  readonly frames: number;
}

/** The stretches of a take of `frames`, by time. */
export function stretchesOf(frames: number, sampleRateHz: number): Stretch[] {
  const length = STRETCH_SECONDS * sampleRateHz;
  if (frames <= STRETCHES * length) return [{ start: 0, frames }];
  return Array.from({ length: STRETCHES }, (_, i) => ({
    start: Math.round(((i + 0.5) * frames) / STRETCHES - length / 2),
    frames: length,
  }));
}

/** The stretches of a source as one signal. Samples that no recording has count as 0. */
export function excerptOf(source: SampleSource, stretches: readonly Stretch[]): SampleSource {
  const frames = stretches.reduce((sum, stretch) => sum + stretch.frames, 0);
  return {
    frames,
    read(start, into) {
      into.fill(0);
      let at = 0; // where the stretch begins in the excerpt
      for (const stretch of stretches) {
        const from = Math.max(start, at),
          to = Math.min(start + into.length, at + stretch.frames);
        if (from < to) source.read(stretch.start + from - at, into.subarray(from - start, to - start));
        at += stretch.frames;
      }
      for (let i = 0; i < into.length; i++) if (!(Math.abs(into[i]) <= INPUT_LIMIT)) into[i] = 0;
    },
  };
}

/** Peak of a source. */
export function peakOf(source: SampleSource): number {
  const piece = new Float64Array(PIECE);
  let peak = 0;
  for (let start = 0; start < source.frames; start += PIECE) {
    source.read(start, piece);
    for (let i = 0; i < PIECE; i++) peak = Math.max(peak, Math.abs(piece[i]));
  }
  return peak;
}

/** A source turned up or down until its peak, which is known, is {@link PEAK_DB}. */
export function levelled(source: SampleSource, peak: number): SampleSource {
  const gain = dbToGain(PEAK_DB) / peak;
  return {
    frames: source.frames,
    read(start, into) {
      source.read(start, into);
      for (let i = 0; i < into.length; i++) into[i] *= gain;
    },
  };
}
