/**
 * The cross-spectrum of two microphones over many hits, and its weights.
 *
 *     S(f) = sum over hits of Y X*          X, Y: spectra of the hits in both microphones
 *     c(t) = sum over f of W(f) Re( S(f) / |S(f)| e^(2 pi i f t) )           largest where t is the delay
 *
 *     plain              W = |S|                                            cross-correlation
 *     phase transform    W = 1                                              every frequency alike
 *     coherence          W = q / (1 - q + e) (f^2 / (f^2 + f0^2))^2,        q = |S|^2 / (sum |X|^2 sum |Y|^2)
 *
 * The last is the maximum-likelihood weighting: a frequency counts as far as both microphones agree on it from hit to
 * hit, which leaves the band of the drum and drops what bleeds in. e (0.05) bounds the weight, since a reflection is
 * coherent too; f0 (500 Hz) takes back the lowest frequencies, whose periods are longer than the stretch compared; above
 * 20/48 of the sample rate, where converters and the ends of the windows alias, nothing counts.
 *
 * Source: C. H. Knapp, G. C. Carter, "The Generalized Correlation Method for Estimation of Time Delay", IEEE Trans. ASSP
 * 24(4), 1976: Table I (PHAT; HT, their maximum-likelihood processor). e and f0 are ours, found on the simulated kit.
 *
 * @module
 */
import type { Spectra } from './hit-spectra.ts';

/**
 * How the frequencies of a cross spectrum are weighted; `phaseTransform` and `coherence` are generalised cross-
 * correlations.
 */
export type DelayWeighting = 'plain' | 'phaseTransform' | 'coherence';

const COHERENCE_LIMIT = 0.05;
const LOW_HZ = 500;
const HIGHEST_SHARE = 20 / 24; // of half the sample rate
/** Below this share of the largest, a cross-spectrum is rounding error and has no phase. */
const NOTHING = 1e-13;

/** Phases of a cross-spectrum as unit numbers times their weights: c(t) = sum of Re((re + i im) e^(2 pi i f t)). */
export interface WeightedPhases {
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Sum of the weights: the largest value that c can reach. For `plain` that of the signals, sqrt(sum X^2 sum Y^2). */
  readonly total: number;
  /** Mean coherence q, weighted by W. */
  readonly coherence: number;
  /** Weight of each bin. */
  readonly weights: Float64Array;
}

/** Weighted phases of all hits together; `used` says which count. */
export function combineHits(
  x: Spectra,
  y: Spectra,
  used: readonly boolean[],
  weighting: DelayWeighting,
  sampleRateHz: number,
): WeightedPhases {
  const { bins } = x;
  const re = new Float64Array(bins);
  const im = new Float64Array(bins);
  const xx = new Float64Array(bins);
  const yy = new Float64Array(bins);
  let hits = 0;
  for (let hit = 0; hit < x.count; hit++) {
    if (!used[hit]) continue;
    hits++;
    const at = hit * bins;
    for (let k = 0; k < bins; k++) {
      const xr = x.re[at + k], xi = x.im[at + k], yr = y.re[at + k], yi = y.im[at + k]; // prettier-ignore
      re[k] += yr * xr + yi * xi;
      im[k] += yi * xr - yr * xi;
      xx[k] += xr * xr + xi * xi;
      yy[k] += yr * yr + yi * yi;
    }
  }
  const hzPerBin = sampleRateHz / (2 * (bins - 1));
  let largest = 0;
  for (let k = 0; k < bins; k++) largest = Math.max(largest, Math.sqrt(re[k] * re[k] + im[k] * im[k]));
  const weights = new Float64Array(bins);
  let total = 0, agreed = 0, powerX = 0, powerY = 0; // prettier-ignore
  for (let k = 0; k < bins; k++) {
    const size = Math.sqrt(re[k] * re[k] + im[k] * im[k]);
    if (!(size > NOTHING * largest)) {
      re[k] = im[k] = 0;
      continue;
    }
    const coherence = unbiased((size * size) / (xx[k] * yy[k]), hits);
    const weight = weightOf(weighting, size, coherence, k / (bins - 1), k * hzPerBin);
    weights[k] = weight;
    re[k] *= weight / size;
    im[k] *= weight / size;
    total += weight;
    agreed += weight * coherence;
    powerX += xx[k];
    powerY += yy[k];
  }
  return {
    re,
    im,
    total: weighting === 'plain' ? Math.sqrt(powerX * powerY) : total,
    coherence: total > 0 ? agreed / total : 0,
    weights,
  };
}

/** Coherence of n hits without the 1/n that unrelated signals show; a single hit is coherent by definition. */
function unbiased(coherence: number, hits: number): number {
  if (hits < 2) return Math.min(1, coherence);
  return Math.max(0, Math.min(1, (coherence - 1 / hits) / (1 - 1 / hits)));
}

/** W of a bin at `share` of half the sample rate. */
function weightOf(
  weighting: DelayWeighting,
  size: number,
  coherence: number,
  share: number,
  frequencyHz: number,
): number {
  if (weighting === 'plain') return size;
  if (weighting === 'phaseTransform') return 1;
  if (share > HIGHEST_SHARE) return 0;
  const square = frequencyHz * frequencyHz;
  const low = square / (square + LOW_HZ * LOW_HZ);
  return (coherence / (1 - coherence + COHERENCE_LIMIT)) * low * low;
}
