/**
 * By how much one microphone hears a drum later than another, and with which polarity.
 *
 *     reference --> hits --> coarse delay over the range --> fine delay --> hits that disagree are left out --> fine delay
 *     other ----------------------^----------------------------^---------------------------------------------------^
 *
 * Both are read piece by piece around the hits, so a take may be as long as it likes. Polarity is the sign of the
 * correlation at its peak (N. Jillings, A. Clifford, J. D. Reiss, "Performance Optimization of GCC-PHAT for Delay and
 * Polarity Correction under Real World Conditions", AES 134th Convention, 2013); half a period of error would flip it, so
 * it means something only together with the delay.
 *
 * @module
 */
import { nearestName, refuse, requireRange } from '../core/check.ts';
import { type Samples, type SampleSource } from '../core/sample-source.ts';
import { agreeing } from './agreement.ts';
import { cleanSource } from './clean-source.ts';
import { type CoarseDelay, coarseDelay } from './coarse-delay.ts';
import { judge } from './confidence.ts';
import type { DelayWeighting } from './cross-spectrum.ts';
import { FineDelayFinder } from './fine-delay.ts';
import { placesToCompare } from './places.ts';
import { type SearchRange, searchRangeSamples } from './search-range.ts';

/** Options of {@link estimateDelay}. */
export interface EstimateDelayOptions extends SearchRange {
  /** Of both signals, 8000 to 384000. */
  readonly sampleRateHz: number;
  /** See `cross-spectrum.ts`; `coherence` unless given. */
  readonly weighting?: DelayWeighting | undefined;
  /** Where hits begin in the reference, within 0.5 ms. Picked from its energy unless given. */
  readonly hitSamples?: readonly number[] | undefined;
}

/** One hit's own result. */
export interface HitDelay {
  /** Position of the hit in the reference microphone. */
  readonly sample: number;
  /** Delay that this hit alone shows. */
  readonly delaySamples: number;
  /** 1 where both rise together, -1 where one is inverted. */
  readonly polarity: 1 | -1;
  /** Share in the result, by the energy of the hit; the weights of the hits that are no outliers sum to 1. */
  readonly weight: number;
  /** Whether the hit disagrees with the others and was left out. */
  readonly outlier: boolean;
}

/** Delay between two microphones. */
export interface DelayEstimate {
  /** Positive: `other` hears it later than `reference`. */
  readonly delaySamples: number;
  /** -1: `other` hears it inverted, at that delay. */
  readonly polarity: 1 | -1;
  /** 0 (a guess, or nothing to go by) to 1 (certain). */
  readonly confidence: number;
  /** Why the confidence is low, in words; empty when it is high. */
  readonly reasons: readonly string[];
  /** The hits used. */
  readonly hits: readonly HitDelay[];
  /** Weighted correlation over the search range, for drawing; the peak nearest to `delaySamples` was chosen. */
  readonly correlation: {
    /** Delay of the first value. */
    readonly startSamples: number;
    /** Distance between two values, a fraction of a sample. */
    readonly stepSamples: number;
    /** -1 to 1: 1 is a perfect copy, in the bands that the weighting looks at. */
    readonly values: Float64Array;
  };
}

/** The coarse delay is not further off unless it was none. */
const STRAY_SECONDS = 0.0005;
/** Two recordings that agree in so many samples around every hit are one. */
const SAME_SAMPLES = 2048;

/**
 * Estimates delay and polarity between two recordings of the same hits. What cannot be told is not an error: the
 * confidence is then low, and the reasons say why.
 *
 * @throws RangeError or TypeError for options out of range
 */
export function estimateDelay(
  reference: Samples | SampleSource,
  other: Samples | SampleSource,
  options: EstimateDelayOptions,
): DelayEstimate {
  requireKnown(options);
  const sampleRateHz = requireRange('estimateDelay: sampleRateHz', options.sampleRateHz, 8000, 384000);
  const weighting = requireWeighting(options.weighting ?? 'coherence');
  const range = searchRangeSamples('estimateDelay', options, sampleRateHz);
  const x = cleanSource(reference);
  const y = cleanSource(other);
  const { samples: places, steady } = placesToCompare(x, sampleRateHz, options.hitSamples);
  const identical = sameAround(x, y, places);
  const coarse = coarseDelay(x, y, places, range, weighting, sampleRateHz);
  const start = identical ? 0 : coarse.delaySamples;
  const finder = new FineDelayFinder(x, y, places, weighting, sampleRateHz);
  const first = finder.find(start, places.map(() => true)); // prettier-ignore
  const used = agreeing(first, sampleRateHz);
  const fine = used.every(Boolean) || !used.some(Boolean) ? first : finder.find(first.delaySamples, used);
  const settled = Math.abs(fine.delaySamples - start) <= STRAY_SECONDS * sampleRateHz;
  const energy = fine.hitEnergies.reduce((sum, share, i) => sum + (used[i] ? share : 0), 0);
  const { confidence, reasons } = judge({
    identical,
    referenceEnergy: fine.referenceEnergy,
    otherEnergy: fine.otherEnergy,
    hits: places.length,
    agreeing: used.filter(Boolean).length,
    settled,
    height: fine.height,
    coherence: fine.coherence,
    rival: coarse.rival,
    // What a click is followed by may ring as it likes; a steady tone is the same again after every period.
    ownRival: steady ? coarseDelay(x, x, places, range, 'plain', sampleRateHz).rival : 0,
  });
  return {
    delaySamples: settled ? fine.delaySamples : start,
    polarity: fine.polarity,
    confidence,
    reasons,
    hits: places.map((sample, i) => ({
      sample,
      delaySamples: fine.hitDelays[i],
      polarity: fine.hitPolarities[i],
      weight: used[i] && energy > 0 ? fine.hitEnergies[i] / energy : 0,
      outlier: !used[i],
    })),
    correlation: { startSamples: -range, stepSamples: coarse.stepSamples, values: scaled(coarse, fine.height) },
  };
}

/** The coarse curve, its peak as high as it is when both windows lie at the same moment of the sound. */
function scaled({ curve, peak }: CoarseDelay, height: number): Float64Array {
  const scale = curve[peak] === 0 ? 0 : height / Math.abs(curve[peak]);
  return curve.map((value) => scale * value);
}

/** Whether both hold the same samples around all places. */
function sameAround(x: SampleSource, y: SampleSource, places: readonly number[]): boolean {
  const a = new Float64Array(SAME_SAMPLES);
  const b = new Float64Array(SAME_SAMPLES);
  return places.every((place) => {
    x.read(place - SAME_SAMPLES / 2, a);
    y.read(place - SAME_SAMPLES / 2, b);
    return a.every((sample, i) => sample === b[i]);
  });
}

function requireKnown(options: EstimateDelayOptions): void {
  const known = ['sampleRateHz', 'weighting', 'hitSamples', 'maxDelayMs', 'maxDistanceMetres', 'temperatureC'];
  for (const name in options) {
    if (!known.includes(name))
      throw new TypeError(`estimateDelay: ${name} is unknown; the nearest name is ${nearestName(name, known)}`);
  }
}

function requireWeighting(weighting: DelayWeighting): DelayWeighting {
  const known: readonly string[] = ['plain', 'phaseTransform', 'coherence'];
  if (!known.includes(weighting)) refuse('estimateDelay: weighting', known.join(' or '), weighting, TypeError);
  return weighting;
}
