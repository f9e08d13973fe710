/**
 * The gate of a close microphone, from its hits and its bleed.
 *
 *     softest hit at least 6 dB above the bleed      the gate listens to the microphone, around the fundamental
 *     else, as where there are ghost notes           it listens to the hits that were found
 *
 * In both the threshold is that of least harm (`gate-threshold.ts`). Hold is two periods of the fundamental, so that the
 * gate does not flutter with it; the release a tenth of the decay. Source: common practice, and the gate's own rule of at
 * least half a period.
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import type { Hit } from '../hits/hit-list.ts';
import { HitKey } from '../hits/hit-key.ts';
import { gapAfter, type GateThreshold, gateThreshold } from './gate-threshold.ts';
import { filtered, keyLevels } from './key-levels.ts';
import { firstMultiple, roundTo } from './rounding.ts';
import type { SuggestedSetting } from './suggested-setting.ts';

/** What is known of a drum in its microphone. */
export interface GatedDrum {
  readonly sampleRateHz: number;
  readonly name: string;
  readonly source: SampleSource;
  /** By time, at least one. */
  readonly hits: readonly Hit[];
  readonly fundamentalHz: number;
  /** Time in which it dies by 60 dB. */
  readonly decayMs: number;
}

/** A gate as a plan writes it, and why; the paths begin behind the chain. */
export interface GatePlan {
  readonly block: Readonly<Record<string, unknown>>;
  readonly settings: readonly SuggestedSetting[];
}

const CLEAR_DB = 6;
/** The gate must open before a hit has reached its peak, and hits that were not heard may be softer. */
const BELOW_SOFTEST_DB = 3;
const ABOVE_BLEED_DB = 0.5;
/** How far below the softest hit the key of hits is worth following. */
const DEEPEST_DB = 40;
const LOWEST_DB = -120;
const PERIODS_HELD = 2;
const RELEASE_SHARE = 0.1;
const RELEASE_MS = [25, 100] as const;

/** The gate of a drum. */
export function gatePlan(drum: GatedDrum): GatePlan {
  const { sampleRateHz, source, hits, fundamentalHz, decayMs } = drum;
  const times = {
    hysteresisDb: 6,
    rangeDb: 40,
    attackMs: 0.3,
    holdMs: roundTo((PERIODS_HELD * 1000) / fundamentalHz, 1),
    releaseMs: roundTo(Math.max(RELEASE_MS[0], Math.min(RELEASE_MS[1], RELEASE_SHARE * decayMs)), 5),
    lookaheadMs: 2,
  };
  const bands = [
    { type: 'highpass', frequencyHz: firstMultiple(0.7 * fundamentalHz, 5) },
    { type: 'lowpass', frequencyHz: firstMultiple(6 * fundamentalHz, 10) },
  ] as const;
  const samples = hits.map(({ sample }) => sample);
  const own = filtered(source, sampleRateHz, bands);
  const { softestDb, bleedDb } = keyLevels(own, samples, gapAfter(decayMs, times, sampleRateHz), sampleRateHz);
  const plain = softestDb - bleedDb >= CLEAR_DB;
  const problem = { sampleRateHz, source, hits: samples, decayMs, gate: times };
  const softestHitDb = hits.reduce((least, { velocityDb }) => Math.min(least, velocityDb), 0);
  const found = plain
    ? gateThreshold({
        ...problem,
        key: own,
        fromDb: Math.min(0, bleedDb + ABOVE_BLEED_DB),
        toDb: Math.min(0, softestDb - BELOW_SOFTEST_DB), // a float file may hold more than full scale
      })
    : gateThreshold({
        ...problem,
        key: keyOf(drum),
        fromDb: Math.max(LOWEST_DB, softestHitDb - DEEPEST_DB),
        toDb: softestHitDb - BELOW_SOFTEST_DB,
      });
  const thresholdDb = roundTo(found.thresholdDb, 0.1);
  const measured = `softest hit ${softestDb.toFixed(1)} dB, bleed up to ${bleedDb.toFixed(1)} dB around the fundamental`;
  return {
    block: {
      type: 'gate',
      thresholdDb,
      ...times,
      ...(plain ? { keyFilter: bands } : { key: { hits: drum.name, decayMs: roundTo(decayMs, 10) } }),
    },
    settings: [
      {
        path: 'thresholdDb',
        value: thresholdDb,
        reason: `${measured}: ${plain ? 'opens by the microphone' : `opens by the hits, softest ${softestHitDb.toFixed(1)} dB`}; ${harm(found)}`,
      },
      {
        path: 'holdMs',
        value: times.holdMs,
        reason: `two periods of the fundamental, ${fundamentalHz.toFixed(0)} Hz`,
      },
      {
        path: 'releaseMs',
        value: times.releaseMs,
        reason: `a tenth of the decay, ${decayMs.toFixed(0)} ms to -60 dB; ${RELEASE_MS.join(' to ')} ms`,
      },
    ],
  };
}

function harm({ reductionDb, artefactsDb }: GateThreshold): string {
  const gaps = reductionDb === Infinity ? 'there is no gap' : `the gaps fall by ${reductionDb.toFixed(1)} dB`;
  return `${gaps}, what the hits lose is ${artefactsDb.toFixed(1)} dB of them`;
}

/** The key that the plan's gate will hear. */
function keyOf({ sampleRateHz, hits, source, decayMs }: GatedDrum): SampleSource {
  const key = new HitKey(sampleRateHz, hits, { decayMs: roundTo(decayMs, 10) });
  return {
    frames: source.frames,
    read(start, into) {
      key.read(start, into);
    },
  };
}
