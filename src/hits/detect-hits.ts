/**
 * Finds the hits of a recording, drum by drum, each in its own microphone.
 *
 *     microphone --> onsets --+                                       +--> hits
 *     microphone --> onsets --+--> more than bleed? --> no double? ---+
 *     microphone --> onsets --+                                       +--> rejected, each with its reason
 *
 * With one microphone every onset is a hit. With more, an onset counts if enough of its energy is new and not what the other
 * drums, as their own microphones hear them at that moment, send there (`BleedModel`); and if another microphone has been
 * ahead, as it is with bleed, then by a margin.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { requireName, requireText } from '../core/json-check.ts';
import { log10, pow } from '../core/maths.ts';
import {
  type ParameterOptions,
  type ParameterTable,
  type ParameterValues,
  resolveParameters,
} from '../core/parameters.ts';
import { requireFormat } from '../core/pieces.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { BleedModel, type Candidate, type Verdict } from './bleed.ts';
import { type Hit, type HitList, hitListOf, type RejectedHit } from './hit-list.ts';
import { type DrumKind, drumKinds, type KeyBand, keyBandOf } from './key-bands.ts';
import { type Onset, OnsetDetector, onsetDetectorParameters } from './onset-detector.ts';
import { RiseEnergies } from './rise-energies.ts';
import { velocityCurveParameters, velocityOfDb } from './velocity.ts';

export const detectHitsParameters = {
  /** Rise that makes an onset, as in `OnsetDetector`; twice this with a single microphone, which has nothing else to go by. */
  riseDb: { default: 3, min: 0.5, max: 20 },
  /** No two hits of a drum are closer: of those that are, the loudest counts. */
  minimumDistanceMs: onsetDetectorParameters.minimumDistanceMs,
  /** Level of what counts as silence. */
  floorDb: onsetDetectorParameters.floorDb,
  /** Least confidence of a hit: the share of the energy that is new times the share that bleed does not explain. */
  leastConfidence: { default: 0.48, min: 0, max: 1 },
  /** How far a hit must stand above what bleed explains, besides, if another microphone has heard something sooner. */
  overBleedDb: { default: 1.5, min: 0, max: 40 },
  /** Level that becomes velocity 127. */
  loudestDb: velocityCurveParameters.loudestDb,
  /** Distance in level from velocity 1 to velocity 127. */
  rangeDb: velocityCurveParameters.rangeDb,
} as const satisfies ParameterTable;

export type DetectHitsOptions = ParameterOptions<typeof detectHitsParameters>;

/** The microphone of one drum. */
export interface DrumMicrophone {
  /** Name of the drum. */
  readonly drum: string;
  /** What it is: decides where to listen. */
  readonly kind: DrumKind;
  /** Where to listen, if not there. */
  readonly keyBand?: Partial<KeyBand> | undefined;
  readonly source: SampleSource;
}

const READ_FRAMES = 4096;
const CANDIDATE_DISTANCE_MS = 10; // bleed may come this soon before a hit and must not hide it
const NEAR_MS = 12; // an onset that far away is another event
const HIGHEST = 0.49; // of the sample rate

/**
 * Finds the hits of every drum that has a microphone.
 *
 * @param microphones - one for each drum, all with the same origin of time
 * @throws TypeError or RangeError for options as the table demands, or for microphones of one drum, or none
 */
export function detectHits(
  microphones: readonly DrumMicrophone[],
  sampleRateHz: number,
  options: DetectHitsOptions = {},
): HitList {
  requireFormat('detectHits', { sampleRateHz, channels: 1 });
  const values = resolveParameters('detectHits: ', detectHitsParameters, options, sampleRateHz);
  requireMicrophones(microphones);
  const alone = microphones.length === 1;
  const distanceMs = alone ? values.minimumDistanceMs : Math.min(CANDIDATE_DISTANCE_MS, values.minimumDistanceMs);
  const bands = microphones.map(({ kind, keyBand }) => ({ ...keyBandOf(kind), ...keyBand }));
  const onsets = microphones.map(({ source }, m) => {
    const highHz = Math.min(bands[m].highHz, HIGHEST * sampleRateHz);
    const riseDb = alone ? 2 * values.riseDb : values.riseDb;
    const band = { lowHz: bands[m].lowHz, highHz, riseDb, floorDb: values.floorDb, minimumDistanceMs: distanceMs };
    return onsetsOf(source, new OnsetDetector(sampleRateHz, band));
  });
  if (alone) {
    const hits = onsets[0].map((onset) => hitOf(microphones[0].drum, onset, onset.confidence, values));
    return hitListOf(sampleRateHz, hits);
  }

  const measured = new RiseEnergies(sampleRateHz);
  const listeners = onsets.map((found, microphone) => ({
    candidates: found.map((onset): Candidate => {
      const energies = microphones.map(({ source }) => measured.measure(source, onset.sample));
      return { ...onset, microphone, energies };
    }),
    octaves: measured.octavesWithin(bands[microphone].lowHz, bands[microphone].highHz),
    softestDb: bands[microphone].softestDb,
  }));
  const model = new BleedModel(listeners, sampleRateHz);
  const hits: Hit[] = [];
  const rejected: RejectedHit[] = [];
  listeners.forEach(({ candidates }, m) => {
    const accepted: Hit[] = [];
    for (const candidate of candidates) {
      const verdict = model.judge(candidate);
      const own = 1 / (1 + pow(10, -verdict.scoreDb / 10)); // share of the energy that is not explained
      const hit = hitOf(microphones[m].drum, candidate, own * candidate.confidence, values);
      const clear = verdict.first || verdict.scoreDb >= values.overBleedDb;
      if (clear && hit.confidence >= values.leastConfidence) accepted.push(hit);
      else rejected.push({ ...hit, reason: reasonOf(candidate, verdict, microphones, onsets, sampleRateHz) });
    }
    const [kept, doubles] = withoutDoubles(accepted, (values.minimumDistanceMs / 1000) * sampleRateHz);
    hits.push(...kept);
    rejected.push(...doubles);
  });
  return hitListOf(sampleRateHz, hits, rejected);
}

function requireMicrophones(microphones: readonly DrumMicrophone[]): void {
  requireInteger('detectHits: number of microphones', microphones.length, 1, 64);
  microphones.forEach(({ drum, kind }, m) => {
    const path = `detectHits: microphones[${m}]`;
    requireText(`${path}.drum`, drum);
    requireName(`${path}.kind`, kind, drumKinds);
    if (microphones.findIndex((other) => other.drum === drum) < m) {
      throw new RangeError(`${path}.drum must have one microphone, got a second for ${drum}`);
    }
  });
}

function onsetsOf(source: SampleSource, detector: OnsetDetector): Onset[] {
  const block = new Float64Array(READ_FRAMES);
  const onsets: Onset[] = [];
  for (let start = 0; start < source.frames; start += READ_FRAMES) {
    source.read(start, block);
    onsets.push(...detector.process(block, 0, Math.min(READ_FRAMES, source.frames - start)));
  }
  return [...onsets, ...detector.finish()];
}

function hitOf(
  drum: string,
  { sample, velocityDb }: Onset,
  confidence: number,
  { loudestDb, rangeDb }: ParameterValues<typeof detectHitsParameters>,
): Hit {
  const velocity = velocityOfDb(velocityDb, { loudestDb, rangeDb });
  return { drum, sample, velocityDb, velocity, confidence, source: 'detected' };
}

/** Of hits closer than `distance` samples, the loudest; and the others. */
function withoutDoubles(hits: readonly Hit[], distance: number): [kept: Hit[], doubles: RejectedHit[]] {
  const kept: Hit[] = [];
  const doubles: RejectedHit[] = [];
  for (const hit of [...hits].sort((a, b) => b.velocityDb - a.velocityDb)) {
    const near = kept.find(({ sample }) => Math.abs(sample - hit.sample) < distance);
    if (near === undefined) kept.push(hit);
    else doubles.push({ ...hit, reason: `double of the louder hit at sample ${near.sample.toFixed(1)}` });
  }
  return [kept, doubles];
}

/** Why a candidate does not count. */
function reasonOf(
  { sample, energies, microphone, riseDb }: Candidate,
  { culprit, scoreDb, played }: Verdict,
  microphones: readonly DrumMicrophone[],
  onsets: readonly (readonly Onset[])[],
  sampleRateHz: number,
): string {
  if (!played) return 'this drum is not played: its microphone hears nothing loud first';
  if (culprit === undefined && scoreDb < 0) return `${(-scoreDb).toFixed(1)} dB below the softest hit of this drum`;
  if (culprit === undefined) return `hardly a rise: ${riseDb.toFixed(1)} dB`;
  const sum = (m: number) => energies[m].reduce((total, energy) => total + energy, 0);
  const louderDb = 10 * log10(sum(culprit) / sum(microphone));
  const leadMs = onsets[culprit]
    .map((other) => ((sample - other.sample) * 1000) / sampleRateHz)
    .reduce((least, lead) => (Math.abs(lead) < Math.abs(least) ? lead : least), Infinity);
  const when =
    Math.abs(leadMs) > NEAR_MS ? '' : ` and ${Math.abs(leadMs).toFixed(1)} ms ${leadMs > 0 ? 'sooner' : 'later'}`;
  return `bleed of ${microphones[culprit].drum}, whose microphone hears it ${louderDb.toFixed(1)} dB louder${when}`;
}
