/**
 * Tempo of a performance, from the times between its strokes.
 *
 *     o[k] = level above the softest of the strokes in step k of 5 ms, smoothed by a triangle of 20 ms
 *     r[lag] = sum over k of o[k] o[k + lag] / (K - lag)                        autocorrelation
 *     tempo = 60 / lag of the greatest  r[lag] exp(-1/2 (log2(lag / 0.5 s) / 0.9)^2)
 *
 * The weight prefers 120 to the minute, so that of a tempo, its half and its double the likeliest is told. Source:
 * D. P. W. Ellis, "Beat Tracking by Dynamic Programming", J. New Music Research 36(1), 2007 (autocorrelation under such a
 * weight; from memory).
 *
 * @module
 */
import { exp, log2 } from '../core/maths.ts';
import type { KitEvent } from './kit-events.ts';

/** A tempo and how much it stands out. */
export interface Tempo {
  /** Quarter notes to the minute. */
  readonly bpm: number;
  /** Autocorrelation at its lag over that at lag 0, 0 to 1. */
  readonly strength: number;
}

const STEP_SECONDS = 0.005;
const SMOOTHING_STEPS = 4;
const SLOWEST_SECONDS = 1.5;
const FASTEST_SECONDS = 0.25;
const MIDDLE_SECONDS = 0.5;
const WIDTH_OCTAVES = 0.9;
const SOFTEST_DB = -60;
const FEWEST_EVENTS = 8;

/** The tempo; undefined for fewer than 8 strokes. */
export function tempoOf(events: readonly KitEvent[], sampleRateHz: number): Tempo | undefined {
  if (events.length < FEWEST_EVENTS) return undefined;
  const onsets = onsetSteps(events, sampleRateHz);
  const correlate = (lag: number) => {
    let sum = 0;
    for (let k = 0; k + lag < onsets.length; k++) sum += onsets[k] * onsets[k + lag];
    return sum / (onsets.length - lag);
  };
  const steps = (seconds: number) => Math.round(seconds / STEP_SECONDS);
  const lags = Array.from({ length: steps(SLOWEST_SECONDS - FASTEST_SECONDS) + 1 }, (_, i) => steps(FASTEST_SECONDS) + i)
    .filter((lag) => 2 * lag < onsets.length); // prettier-ignore
  if (lags.length === 0) return undefined;
  const heights = lags.map(correlate);
  const weighted = lags.map((lag, i) => {
    const z = log2((lag * STEP_SECONDS) / MIDDLE_SECONDS) / WIDTH_OCTAVES;
    return heights[i] * exp(-0.5 * z * z);
  });
  const best = weighted.reduce((most, height, i) => (height > weighted[most] ? i : most), 0);
  const lag = lags[best] + vertex(heights[best - 1], heights[best], heights[best + 1]);
  return { bpm: 60 / (lag * STEP_SECONDS), strength: Math.min(1, heights[best] / correlate(0)) };
}

/** Strokes on a grid, the mean level of all microphones above the softest, each spread over a triangle. */
function onsetSteps(events: readonly KitEvent[], sampleRateHz: number): Float64Array {
  const step = STEP_SECONDS * sampleRateHz;
  const [first] = events;
  const origin = Math.floor(first.sample / step) - SMOOTHING_STEPS;
  const last = Math.ceil(events[events.length - 1].sample / step) + SMOOTHING_STEPS;
  const onsets = new Float64Array(last - origin + 1);
  for (const { sample, levelsDb } of events) {
    const level = levelsDb.reduce((sum, db) => sum + db - SOFTEST_DB, 0) / levelsDb.length;
    const at = sample / step - origin;
    for (let k = Math.ceil(at - SMOOTHING_STEPS); k <= at + SMOOTHING_STEPS; k++) {
      if (k >= 0 && k < onsets.length) onsets[k] += level * (1 - Math.abs(k - at) / SMOOTHING_STEPS);
    }
  }
  return onsets;
}

/** Offset of the top of the parabola through three values; 0 at an end, or where the middle one is not the greatest. */
function vertex(left: number | undefined, middle: number, right: number | undefined): number {
  if (left === undefined || right === undefined || middle < left || middle < right) return 0;
  const curvature = left - 2 * middle + right;
  return curvature < 0 ? (0.5 * (left - right)) / curvature : 0;
}
