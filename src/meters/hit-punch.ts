/**
 * Transient-to-sustain ratio of single hits: the click of the stick against the ring of the drum.
 *
 *     ratio = 10 lg( mean power of [t, t + 20 ms)  /  mean power of [t + 20 ms, t + 170 ms) )       t: the hit
 *
 * 0 dB for a steady sound; a decay with the time constant T of its power reads 10 lg of the ratio of two means of
 * e^(-t/T). It is the early-to-late index of room acoustics with an early time of 20 ms, but of means, so that a sustain
 * that the next hit cuts short counts alike. The power is that of all channels together, unweighted.
 *
 * Source: ISO 3382-1, the early-to-late index (from memory); the times are ours.
 *
 * @module
 */
import { requireNumber, requireRange } from '../core/check.ts';
import { log10 } from '../core/maths.ts';
import { median } from '../core/median.ts';
import { INPUT_LIMIT, requireFormat, requireShape } from '../core/pieces.ts';
import type { Channels } from '../core/processor.ts';
import { millisecondsToSamples } from '../core/time.ts';

/** Shortest sustain that is judged, as a share of the whole. */
const LEAST_SUSTAIN = 0.2;

/** Options of {@link hitPunch}. */
export interface HitPunchOptions {
  /** 20 unless given; 1 to 200. */
  readonly transientMs?: number | undefined;
  /** 150 unless given; 10 to 2000. */
  readonly sustainMs?: number | undefined;
}

/** What {@link hitPunch} returns. */
export interface HitPunch {
  /** Ratio of each hit in dB; null where the next hit or the end leaves too little sustain, or one of both is silent. */
  readonly hitsDb: readonly (number | null)[];
  /** Median of those that have one; null if none has. */
  readonly medianDb: number | null;
}

/**
 * Ratios of hits at these times, in seconds, which must ascend.
 * @throws RangeError or TypeError for times that do not, and options out of range
 */
export function hitPunch(
  channels: Channels,
  sampleRateHz: number,
  hitSeconds: readonly number[],
  { transientMs = 20, sustainMs = 150 }: HitPunchOptions = {},
): HitPunch {
  requireFormat('hitPunch', { sampleRateHz, channels: channels.length });
  const frames = requireShape('hitPunch', 'input', channels, channels.length);
  const samples = (name: string, ms: number, min: number, max: number) =>
    millisecondsToSamples(requireRange(`hitPunch: ${name}`, ms, min, max), sampleRateHz);
  const transient = samples('transientMs', transientMs, 1, 200),
    sustain = samples('sustainMs', sustainMs, 10, 2000);
  const hits = hitSeconds.map((seconds, i) => {
    requireNumber(`hitPunch: hitSeconds[${i}]`, seconds);
    requireRange(`hitPunch: hitSeconds[${i}]`, seconds, hitSeconds[i - 1] ?? 0, frames / sampleRateHz);
    return Math.round(seconds * sampleRateHz);
  });
  const hitsDb = hits.map((hit, i) => {
    const sustained = hit + transient,
      end = Math.min(sustained + sustain, hits[i + 1] ?? frames, frames);
    if (end - sustained < LEAST_SUSTAIN * sustain) return null;
    const [early, late] = [meanPower(channels, hit, sustained), meanPower(channels, sustained, end)];
    return early > 0 && late > 0 ? 10 * log10(early / late) : null;
  });
  const known = hitsDb.filter((ratio) => ratio !== null);
  return { hitsDb, medianDb: known.length === 0 ? null : median(known) };
}

function meanPower(channels: Channels, from: number, to: number): number {
  let sum = 0;
  for (const x of channels) {
    for (let i = from; i < to; i++) if (Math.abs(x[i]) <= INPUT_LIMIT) sum += x[i] * x[i];
  }
  return sum / (to - from);
}
