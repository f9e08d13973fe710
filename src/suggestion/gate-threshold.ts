/**
 * Threshold of a gate by the least harm: of all that reduce the bleed enough, the one that changes the hits least.
 *
 *     artefacts(T) = sum over hits of ((1 - g_T) x)^2 / sum over hits of x^2          what the gate takes from the hits
 *     reduction(T) = sum over gaps of x^2 / sum over gaps of (g_T x)^2                what it takes from the rest
 *
 *     T = arg min artefacts(T)   subject to   reduction(T) >= 24 dB,   g_T: gain of the gate at threshold T
 *
 * A lower threshold opens sooner and closes later: artefacts and reduction both grow with T, so that the optimum is the least
 * T that reduces enough, found by halving. A hit counts for 60 ms; it has ended when the drum has died by 30 dB, and the gap begins
 * when a gate that closed then would be shut: after its hold and 2.3 time constants of its release. The gate really runs, over the recording, with its hold and release.
 *
 * Source: M. J. Terrell, J. D. Reiss, M. Sandler, "Automatic Noise Gate Settings for Drum Recordings Containing Bleed from
 * Secondary Sources", EURASIP J. Adv. Signal Process. 2010, art. 465417: artefacts minimised subject to a bound on the bleed
 * that is left (from memory; there with the drum and the bleed apart, here with the recording in their place).
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { Gate, type GateOptions } from '../dynamics/gate.ts';

/** Times of a gate. */
export interface GateTimes {
  /** Time below the closing level before it closes. */
  readonly holdMs: number;
  /** Time constant of closing. */
  readonly releaseMs: number;
}

/** What is to be gated. */
export interface GateProblem {
  /** Of the source and the key, 8000 to 384000. */
  readonly sampleRateHz: number;
  /** The microphone. */
  readonly source: SampleSource;
  /** What the gate listens to. */
  readonly key: SampleSource;
  /** Samples of the drum's hits, by time. */
  readonly hits: readonly number[];
  /** Time in which the drum dies by 60 dB. */
  readonly decayMs: number;
  /** Everything but the threshold; the look-ahead is compensated for. */
  readonly gate: Omit<GateOptions, 'thresholdDb'> & GateTimes;
  /** Lowest threshold to try, -120 to 0 dBFS. */
  readonly fromDb: number;
  /** Highest threshold to try, -120 to 0 dBFS. */
  readonly toDb: number;
}

/** A threshold and what it does. */
export interface GateThreshold {
  /** dBFS. */
  readonly thresholdDb: number;
  /** How far down the gaps are. */
  readonly reductionDb: number;
  /** Energy that the hits lose relative to what they have. */
  readonly artefactsDb: number;
}

/** What is asked of a mix is 20 dB; the rest is for what the excerpt does not show. */
const LEAST_REDUCTION_DB = 24;
const HIT_MS = 60;
const DEAD_SHARE = 0.5; // of the time in which 60 dB are lost: 30 dB
const RELEASES = 2.3; // 90 % closed
const HALVINGS = 5;
const PIECE = 8192;
const NOTHING = 1e-12;

/** Samples from a hit to the gap behind it. */
export function gapAfter(decayMs: number, { holdMs, releaseMs }: GateTimes, sampleRateHz: number): number {
  const endMs = Math.max(HIT_MS, DEAD_SHARE * decayMs);
  return millisecondsToSamples(endMs + holdMs + RELEASES * releaseMs, sampleRateHz);
}

/**
 * The threshold; that of the end of the range, `toDb`, if none reduces enough.
 *
 * @throws RangeError or TypeError for what a {@link Gate} refuses
 */
export function gateThreshold(problem: GateProblem): GateThreshold {
  let low = problem.fromDb,
    high = problem.toDb;
  let best = tryThreshold(problem, high);
  const lowest = tryThreshold(problem, low);
  if (lowest.reductionDb >= LEAST_REDUCTION_DB) return lowest;
  for (let i = 0; i < HALVINGS; i++) {
    const middle = tryThreshold(problem, (low + high) / 2);
    if (middle.reductionDb >= LEAST_REDUCTION_DB) {
      high = middle.thresholdDb;
      best = middle;
    } else low = middle.thresholdDb;
  }
  return best;
}

/** What a gate with a threshold does to hits and gaps. */
function tryThreshold(problem: GateProblem, thresholdDb: number): GateThreshold {
  const { sampleRateHz, source, key, hits, decayMs } = problem;
  const gate = new Gate({ sampleRateHz, channels: 1 }, { ...problem.gate, thresholdDb });
  const late = gate.latencySamples;
  const hitLength = millisecondsToSamples(HIT_MS, sampleRateHz),
    gapBegins = gapAfter(decayMs, problem.gate, sampleRateHz);
  const [x, k, y, delayed] = Array.from({ length: 4 }, () => new Float64Array(PIECE));
  let h = -1; // the hit before the sample
  let hit = 0,
    lost = 0,
    gap = 0,
    left = 0;
  for (let start = 0; start < source.frames + late; start += PIECE) {
    source.read(start, x);
    key.read(start, k);
    source.read(start - late, delayed);
    gate.process([x], [y], { key: [k] });
    for (let i = 0; i < PIECE; i++) {
      const at = start + i - late;
      while (h + 1 < hits.length && hits[h + 1] <= at) h++;
      if (h < 0) continue;
      const since = at - hits[h],
        power = delayed[i] * delayed[i];
      if (since < hitLength) {
        hit += power;
        lost += (delayed[i] - y[i]) * (delayed[i] - y[i]);
      } else if (since >= gapBegins) {
        gap += power;
        left += y[i] * y[i];
      }
    }
  }
  const ratioDb = (a: number, b: number) => gainToDb(Math.sqrt((a + NOTHING) / (b + NOTHING)));
  return { thresholdDb, reductionDb: gap === 0 ? Infinity : ratioDb(gap, left), artefactsDb: ratioDb(lost, hit) };
}
