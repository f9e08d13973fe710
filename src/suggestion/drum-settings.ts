/**
 * What is measured of a drum in the kit, and the settings that follow.
 *
 *     high-pass      0.7 of the fundamental: a Butterworth filter of order 3 costs it there
 *                    10 lg(1 + 0.7^6) = 0.48 dB
 *     gate           see `gate-plan.ts`
 *     compressor     attack the length of the transient, threshold so that the typical hit is turned down by what is asked
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import type { Hit } from '../hits/hit-list.ts';
import { type GatePlan, gatePlan } from './gate-plan.ts';
import type { KitDrum } from './kit-inputs.ts';
import type { Listening } from './listening.ts';
import { roundTo } from './rounding.ts';
import { type StrokeLevels, strokeLevels } from './stroke-levels.ts';
import type { SuggestedSetting } from './suggested-setting.ts';

/** What a drum's own microphone tells. */
export interface MeasuredDrum extends StrokeLevels {
  readonly drum: KitDrum;
  readonly hits: number;
  /** NaN for cymbals. */
  readonly fundamentalHz: number;
  /** Undefined for cymbals, and where the drum was hardly played. */
  readonly gate: GatePlan | undefined;
}

/** With fewer hits a drum has no settings of its own. */
const FEWEST_HITS = 2;
const FALL_MS = 90;
const LEAST_FALL_DB = 3;
const HIGHPASS_SHARE = 0.7;
/** Where the decay could not be heard: the middle of what toms and kicks have. */
const USUAL_DECAY_MS = 500;

/** Measures a drum; undefined if it was hardly played. */
export function measureDrum(listening: Listening, drum: KitDrum, hits: readonly Hit[]): MeasuredDrum | undefined {
  const own = hits.filter((hit) => hit.drum === drum.name);
  if (own.length < FEWEST_HITS) return undefined;
  const { microphone } = drum.inputs[0];
  const source: SampleSource = listening.excerpts[microphone];
  const { sampleRateHz } = listening;
  const figures = listening.figures[microphone];
  const isCymbal = drum.kind === 'hat' || drum.kind === 'ride';
  const fundamentalHz = isCymbal || !figures ? NaN : figures.fundamentalHz;
  const fallDb = figures?.fallDb ?? NaN;
  const decayMs = fallDb > LEAST_FALL_DB ? (60 / fallDb) * FALL_MS : USUAL_DECAY_MS;
  const gate = Number.isNaN(fundamentalHz)
    ? undefined
    : gatePlan({ sampleRateHz, name: drum.name, source, hits: own, fundamentalHz, decayMs });
  const samples = own.map(({ sample }) => sample);
  return { drum, hits: own.length, fundamentalHz, gate, ...strokeLevels(source, samples, sampleRateHz) };
}

/** The high-pass of a drum's microphones. */
export function highpassOf(fundamentalHz: number): SuggestedSetting {
  return {
    path: 'frequencyHz',
    value: roundTo(HIGHPASS_SHARE * fundamentalHz, 1),
    reason: `0.7 of the fundamental, ${fundamentalHz.toFixed(0)} Hz, which loses 0.5 dB`,
  };
}

/** Attack and threshold of a compressor for hits of a typical peak. */
export function compressorFor(
  { transientMs }: StrokeLevels,
  peakDb: number,
  ratio: number,
  reductionDb: number,
): { readonly attackMs: number; readonly thresholdDb: number; readonly settings: readonly SuggestedSetting[] } {
  const attackMs = roundTo(Math.max(1, transientMs), 1);
  const thresholdDb = roundTo(Math.min(0, peakDb - reductionDb / (1 - 1 / ratio)), 0.5);
  return {
    attackMs,
    thresholdDb,
    settings: [
      {
        path: 'attackMs',
        value: attackMs,
        reason: `the transient is ${transientMs.toFixed(1)} ms long (temporal centroid of the first 100 ms)`,
      },
      {
        path: 'thresholdDb',
        value: thresholdDb,
        reason: `typical hits peak at ${peakDb.toFixed(1)} dB: ${reductionDb} dB less of a hit that lasts, at ${ratio}:1`,
      },
    ],
  };
}
