/**
 * The coarse delay: whole samples, over the whole range.
 *
 * What the reference hears in the moment of each hit is looked for in all that the other microphone hears around it. The
 * correlation is computed at four times the sample rate by padding the spectrum with zeros, which interpolates it
 * exactly, so that no peak hides between samples.
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { combineHits, type DelayWeighting } from './cross-spectrum.ts';
import { HitSpectra } from './hit-spectra.ts';

const UPSAMPLING = 4;

/** A correlation over the search range and its highest peak. */
export interface CoarseDelay {
  /** From -range to +range in steps of `stepSamples`; only its shape has a meaning. */
  readonly curve: Float64Array;
  readonly stepSamples: number;
  /** Index of the highest magnitude. */
  readonly peak: number;
  /** Nearest whole number to the highest peak. */
  readonly delaySamples: number;
  /** Magnitude of the highest value outside the peak, relative to the peak: near 1 if there is nothing to choose. */
  readonly rival: number;
}

export function coarseDelay(
  reference: SampleSource,
  other: SampleSource,
  samples: readonly number[],
  range: number,
  weighting: DelayWeighting,
  sampleRateHz: number,
): CoarseDelay {
  const spectra = new HitSpectra(sampleRateHz, range);
  const x = spectra.windowed(reference, samples, 0);
  const y = spectra.around(other, samples, range);
  const used = samples.map(() => true);
  const { re, im } = combineHits(x, y, used, weighting, sampleRateHz);
  const fft = new RealFft(UPSAMPLING * spectra.fft.size);
  const paddedRe = new Float64Array(fft.bins);
  const paddedIm = new Float64Array(fft.bins);
  paddedRe.set(re);
  paddedIm.set(im);
  const lags = new Float64Array(fft.size);
  fft.inverse(paddedRe, paddedIm, lags);
  const curve = lags.slice(0, 2 * range * UPSAMPLING + 1);
  const peak = highest(curve, () => true);
  let from = peak;
  let to = peak;
  while (from > 0 && curve[from] * curve[peak] > 0) from--;
  while (to < curve.length - 1 && curve[to] * curve[peak] > 0) to++;
  const rival = highest(curve, (i) => i <= from || i >= to);
  return {
    curve,
    stepSamples: 1 / UPSAMPLING,
    peak,
    delaySamples: curve[peak] === 0 ? 0 : Math.round(peak / UPSAMPLING) - range,
    rival: curve[peak] === 0 ? 1 : Math.abs(curve[rival] / curve[peak]),
  };
}

function highest(curve: Float64Array, allowed: (i: number) => boolean): number {
  let best = -1;
  for (let i = 0; i < curve.length; i++) {
    if (allowed(i) && (best < 0 || Math.abs(curve[i]) > Math.abs(curve[best]))) best = i;
  }
  return Math.max(0, best);
}
