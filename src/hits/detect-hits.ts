/**
 * Finds the hits of a recording, drum by drum, each in its own microphone.
 *
 *     microphone --> onsets --+                                       +--> hits
 *     microphone --> onsets --+--> more than bleed? --> no double? ---+
 *     microphone --> onsets --+                                       +--> rejected, each with its reason
 *
 * With one microphone every onset is a hit. With more, an onset counts if enough of its energy is new and not what the other
 * drums, as their own microphones hear them at that moment, send there (`BleedModel`); and if another microphone has been
 * ahead, as it is with bleed, then by a margin. Such a hit begins where it rises out of that bleed (`LaterRise`).
 *
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
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
import { BleedModel, type Candidate, type Listener, type Verdict } from './bleed.ts';
import { type Hit, type HitList, hitListOf, type RejectedHit } from './hit-list.ts';
import { type DrumKind, drumKinds, type KeyBand, keyBandOf } from './key-bands.ts';
import { LaterRise } from './later-rise.ts';
import { type Onset, OnsetDetector, type OnsetDetectorOptions, onsetDetectorParameters } from './onset-detector.ts';
import { RiseEnergies } from './rise-energies.ts';
import { velocityCurveParameters, velocityOfDb } from './velocity.ts';

/** Parameters of {@link detectHits}: those of the detector and of the bleed. */
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

/** Options of {@link detectHits}; {@link detectHitsParameters} gives defaults, ranges and units. */
export type DetectHitsOptions = ParameterOptions<typeof detectHitsParameters>;

/** The microphone of one drum. */
export interface DrumMicrophone {
  /** Name of the drum. */
  readonly drum: string;
  /** What it is: decides where to listen. */
  readonly kind: DrumKind;
  /** Where to listen, if not there. */
  readonly keyBand?: Partial<KeyBand> | undefined;
  /** One channel of samples that can be read again and again. */
  readonly source: SampleSource;
}

const READ_FRAMES = 4096;
const CANDIDATE_DISTANCE_MS = 10; // bleed may come this soon before a hit and must not hide it
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
  const bands = microphones.map(({ kind, keyBand }) => ({ ...keyBandOf(kind), ...keyBand }));
  const onsets = microphones.map(({ source }, m) =>
    onsetsOf(
      source,
      new OnsetDetector(sampleRateHz, detectorOptions(bands[m], values, sampleRateHz, microphones.length)),
    ),
  );
  if (microphones.length === 1) {
    const hits = onsets[0].map((onset) => hitOf(microphones[0].drum, onset, onset.confidence, values));
    return hitListOf(sampleRateHz, hits);
  }

  const listeners = listenersOf(microphones, bands, onsets, sampleRateHz);
  const model = new BleedModel(listeners, sampleRateHz);
  const later = new LaterRise(sampleRateHz);
  const distance = (values.minimumDistanceMs / 1000) * sampleRateHz;
  const hits: Hit[] = [];
  const rejected: RejectedHit[] = [];
  listeners.forEach(({ candidates }, m) => {
    const accepted: Hit[] = [];
    for (const candidate of candidates) {
      const verdict = model.judge(candidate);
      const own = 1 / (1 + pow(10, -verdict.scoreDb / 10)); // share of the energy that is not explained
      const hit = hitOf(microphones[m].drum, candidate, own * candidate.confidence, values);
      const clear = verdict.first || verdict.scoreDb >= values.overBleedDb;
      if (clear && hit.confidence >= values.leastConfidence) {
        const next = () => candidates.find(({ sample }) => sample >= hit.sample + distance)?.sample;
        const begins = () => later.find(microphones[m].source, hit.sample, next());
        accepted.push(verdict.first ? hit : { ...hit, sample: begins() });
      } else rejected.push({ ...hit, reason: reasonOf(candidate, verdict, microphones, sampleRateHz) });
    }
    const [kept, doubles] = withoutDoubles(accepted, distance);
    hits.push(...kept);
    rejected.push(...doubles);
  });
  return hitListOf(sampleRateHz, hits, rejected);
}

function requireMicrophones(microphones: readonly DrumMicrophone[]): void {
  requireInteger('detectHits: number of microphones', microphones.length, 1, 64);
  microphones.forEach(({ drum, kind, keyBand }, m) => {
    const path = `detectHits: microphones[${m}]`;
    requireText(`${path}.drum`, drum);
    requireName(`${path}.kind`, kind, drumKinds);
    requireRange(`${path}.keyBand.softestDb`, keyBand?.softestDb ?? 0, -120, 0);
    if (microphones.findIndex((other) => other.drum === drum) < m) {
      throw new RangeError(`${path}.drum must have one microphone, got a second for ${drum}`);
    }
  });
}

function detectorOptions(
  { lowHz, highHz }: KeyBand,
  { riseDb, minimumDistanceMs, floorDb }: ParameterValues<typeof detectHitsParameters>,
  sampleRateHz: number,
  microphones: number,
): OnsetDetectorOptions {
  const band = { lowHz, highHz: Math.min(highHz, HIGHEST * sampleRateHz), floorDb };
  if (microphones === 1) return { ...band, riseDb: 2 * riseDb, minimumDistanceMs };
  return { ...band, riseDb, minimumDistanceMs: Math.min(CANDIDATE_DISTANCE_MS, minimumDistanceMs) };
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

/** What the bleed model is to know: every onset, with what it adds to every microphone. */
function listenersOf(
  microphones: readonly DrumMicrophone[],
  bands: readonly KeyBand[],
  onsets: readonly (readonly Onset[])[],
  sampleRateHz: number,
): Listener[] {
  const rises = new RiseEnergies(sampleRateHz);
  return onsets.map((found, microphone) => {
    const { lowHz, highHz, softestDb } = bands[microphone];
    const candidates = found.map((onset): Candidate => {
      const energies = microphones.map(({ source }) => rises.measure(source, onset.sample));
      return { ...onset, microphone, energies };
    });
    return { candidates, octaves: rises.octavesWithin(lowHz, highHz), softestDb };
  });
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
  const kept = new Map<number, Hit>(); // by stretches of that length, of which none can hold two
  const doubles: RejectedHit[] = [];
  for (const hit of [...hits].sort((a, b) => b.velocityDb - a.velocityDb)) {
    const stretch = Math.floor(hit.sample / distance);
    const near = [stretch - 1, stretch, stretch + 1]
      .map((at) => kept.get(at))
      .find((other) => other !== undefined && Math.abs(other.sample - hit.sample) < distance);
    if (near === undefined) kept.set(stretch, hit);
    else doubles.push({ ...hit, reason: `double of the louder hit at sample ${near.sample.toFixed(1)}` });
  }
  return [[...kept.values()], doubles];
}

/** Why a candidate does not count. */
function reasonOf(
  { energies, microphone, riseDb }: Candidate,
  { culprit, scoreDb, played, leadSamples }: Verdict,
  microphones: readonly DrumMicrophone[],
  sampleRateHz: number,
): string {
  if (!played) return 'this drum is not played: its microphone hears nothing loud first';
  if (culprit === undefined && scoreDb < 0) return `${(-scoreDb).toFixed(1)} dB below the softest hit of this drum`;
  if (culprit === undefined)
    return `doubtful: a rise of ${riseDb.toFixed(1)} dB, ${scoreDb.toFixed(1)} dB over the softest hit`;
  const sum = (m: number) => energies[m].reduce((total, energy) => total + energy, 0);
  const louderDb = 10 * log10(sum(culprit) / sum(microphone));
  const bleed = `bleed of ${microphones[culprit].drum}, whose microphone hears it ${louderDb.toFixed(1)} dB louder`;
  if (leadSamples === undefined) return bleed;
  const ms = Math.abs((leadSamples * 1000) / sampleRateHz).toFixed(1);
  return `${bleed} and ${ms} ms ${leadSamples > 0 ? 'sooner' : 'later'}`;
}
