/**
 * The fine delay: from whole samples to thousandths, and every hit's own.
 *
 * The window of the other microphone is moved to the delay found last and the correlation computed anew, until the delay
 * stays: then both windows cut out the same piece of the sound, and nothing pulls the estimate any more.
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import { climb, correlationAt } from './correlation-peak.ts';
import { combineHits, type DelayWeighting, type WeightedPhases } from './cross-spectrum.ts';
import { HitSpectra, type Spectra } from './hit-spectra.ts';

const MOST_ROUNDS = 12;
const SETTLED_SAMPLES = 1e-4;
/** How far from the common delay a hit may have its own. */
const OWN_REACH_SECONDS = 0.001;
/** A peak at the common delay is the hit's own, unless another is this much higher: narrow bands have many alike. */
const KEPT_SHARE = 0.7;

/** A delay with what it rests on. */
export interface FineDelay {
  readonly delaySamples: number;
  readonly polarity: 1 | -1;
  /** Mean of the cosine of the phase errors, by the weights: 1 if all frequencies agree on the delay. */
  readonly height: number;
  /** Mean coherence of the hits, by the weights. */
  readonly coherence: number;
  /** Delay of every hit, used or not. */
  readonly hitDelays: readonly number[];
  readonly hitPolarities: readonly (1 | -1)[];
  /** Mean cosine of the phase errors of every hit, at its own delay. */
  readonly hitHeights: readonly number[];
  /** Energy of every hit: geometric mean of the two microphones. */
  readonly hitEnergies: readonly number[];
  /** Energy of all hits together in each microphone. */
  readonly referenceEnergy: number;
  readonly otherEnergy: number;
}

/** Finds delays between two microphones, starting nearby. */
export class FineDelayFinder {
  readonly #spectra: HitSpectra;
  readonly #x: Spectra;

  readonly #other: SampleSource;
  readonly #samples: readonly number[];
  readonly #weighting: DelayWeighting;
  readonly #sampleRateHz: number;

  constructor(
    reference: SampleSource,
    other: SampleSource,
    samples: readonly number[],
    weighting: DelayWeighting,
    sampleRateHz: number,
  ) {
    this.#other = other;
    this.#samples = samples;
    this.#weighting = weighting;
    this.#sampleRateHz = sampleRateHz;
    this.#spectra = new HitSpectra(sampleRateHz);
    this.#x = this.#spectra.windowed(reference, samples, 0);
  }

  /** The delay by those hits that are `used`. */
  find(start: number, used: readonly boolean[]): FineDelay {
    const size = this.#spectra.fft.size;
    let delay = start;
    for (let round = 1; ; round++) {
      const whole = Math.floor(delay);
      const y = this.#spectra.windowed(this.#other, this.#samples, delay);
      const phases = combineHits(this.#x, y, used, this.#weighting, this.#sampleRateHz);
      const sign = correlationAt(phases.re, phases.im, size, delay - whole).value < 0 ? -1 : 1;
      const found = whole + climb(phases.re, phases.im, size, delay - whole, sign);
      if (Math.abs(found - delay) < SETTLED_SAMPLES || round === MOST_ROUNDS)
        return this.#result(found, whole, sign, phases, y);
      delay = found;
    }
  }

  #result(delay: number, whole: number, polarity: 1 | -1, phases: WeightedPhases, y: Spectra): FineDelay {
    const size = this.#spectra.fft.size;
    const peak = correlationAt(phases.re, phases.im, size, delay - whole).value;
    const re = new Float64Array(y.bins);
    const im = new Float64Array(y.bins);
    const lags = new Float64Array(size);
    const reach = Math.ceil(OWN_REACH_SECONDS * this.#sampleRateHz);
    const hitDelays: number[] = [];
    const hitPolarities: (1 | -1)[] = [];
    const hitHeights: number[] = [];
    for (let hit = 0; hit < y.count; hit++) {
      const total = weighHit(this.#x, y, hit, phases.weights, this.#weighting, re, im);
      this.#spectra.fft.inverse(re, im, lags);
      const common = Math.round(delay - whole);
      const highest = highestAround(lags, common, reach);
      const kept = highestAround(lags, common, 1);
      const nearby = Math.abs(valueAt(lags, kept)) > KEPT_SHARE * Math.abs(valueAt(lags, highest)) ? kept : highest;
      const sign = valueAt(lags, nearby) < 0 ? -1 : 1;
      const own = climb(re, im, size, nearby, sign);
      hitPolarities.push(sign);
      hitDelays.push(whole + own);
      hitHeights.push(total > 0 ? Math.abs(correlationAt(re, im, size, own).value) / total : 0);
    }
    const referenceEnergies = energies(this.#x);
    const otherEnergies = energies(y);
    const height = phases.total > 0 ? Math.abs(peak) / phases.total : 0;
    return {
      delaySamples: delay,
      polarity,
      height,
      coherence: phases.coherence,
      hitDelays,
      hitPolarities,
      hitHeights,
      hitEnergies: referenceEnergies.map((energy, hit) => Math.sqrt(energy * otherEnergies[hit])),
      referenceEnergy: referenceEnergies.reduce((sum, energy) => sum + energy, 0),
      otherEnergy: otherEnergies.reduce((sum, energy) => sum + energy, 0),
    };
  }
}

/** Writes the weighted phases of one hit to `re` and `im`; returns the largest value that their correlation can reach. */
function weighHit(
  x: Spectra,
  y: Spectra,
  hit: number,
  weights: Float64Array,
  weighting: DelayWeighting,
  re: Float64Array,
  im: Float64Array,
): number {
  const at = hit * x.bins;
  let total = 0;
  for (let k = 0; k < x.bins; k++) {
    const xr = x.re[at + k], xi = x.im[at + k], yr = y.re[at + k], yi = y.im[at + k]; // prettier-ignore
    const crossRe = yr * xr + yi * xi;
    const crossIm = yi * xr - yr * xi;
    const size = Math.sqrt(crossRe * crossRe + crossIm * crossIm);
    const weight = size === 0 ? 0 : weighting === 'plain' ? 1 : weights[k] / size;
    re[k] = weight * crossRe;
    im[k] = weight * crossIm;
    total += weight * size;
  }
  return total;
}

/** The lag of largest magnitude from `middle - reach` to `middle + reach`; negative lags lie at the end of the array. */
function highestAround(lags: Float64Array, middle: number, reach: number): number {
  let best = middle;
  for (let lag = middle - reach; lag <= middle + reach; lag++) {
    if (Math.abs(valueAt(lags, lag)) > Math.abs(valueAt(lags, best))) best = lag;
  }
  return best;
}

function valueAt(lags: Float64Array, lag: number): number {
  return lags[lag < 0 ? lags.length + lag : lag];
}

/** Energy of every hit. */
function energies({ count, bins, re, im }: Spectra): number[] {
  return Array.from({ length: count }, (_, hit) => {
    let energy = 0;
    for (let i = hit * bins; i < (hit + 1) * bins; i++) energy += re[i] * re[i] + im[i] * im[i];
    return energy;
  });
}
