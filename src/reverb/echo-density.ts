/**
 * Echo density: how far a reverberation has become noise.
 *
 *     density(t) = sum of w(n) over the n with |h[n]| > sigma / 0.3173,    sigma^2 = sum of w(n) h[n]^2,   sum of w = 1
 *
 * with a Hann window w about t. Single echoes leave most samples far below their own standard deviation; of Gaussian noise
 * 31.73 % (erfc(1 / sqrt 2)) lie beyond it. So 0 is a single echo and 1 is as dense as noise. A window of noise
 * itself scatters by about 0.06.
 *
 * Source: J. S. Abel, P. Huang, "A Simple, Robust Measure of Reverberation Echo Density", AES 121st Convention, 2006.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { type ParameterOptions, type ParameterTable, resolveParameters } from '../core/parameters.ts';
import { cosOfTurns } from '../core/maths.ts';

/** Parameters of {@link echoDensity}. */
export const echoDensityParameters = {
  /** Length of the window. */
  windowMs: { default: 20, min: 1, max: 1000 },
  /** From window to window. */
  hopMs: { default: 5, min: 0.01, max: 1000 },
} as const satisfies ParameterTable;

/** Options of {@link echoDensity}; {@link echoDensityParameters} gives defaults, ranges and units. */
export type EchoDensityOptions = ParameterOptions<typeof echoDensityParameters>;

/** Density over time. */
export interface EchoDensity {
  /** Middle of each window. */
  readonly timesSeconds: Float64Array;
  /** 0 for silence, too. */
  readonly density: Float64Array;
}

/** Share of Gaussian noise beyond its standard deviation. */
const GAUSSIAN_SHARE = 0.31731050786291415;

/**
 * Density of an impulse response in windows that lie in it as a whole.
 *
 * @throws RangeError or TypeError for an option or a sample rate that is not as said
 */
export function echoDensity(
  impulseResponse: Float32Array | Float64Array,
  sampleRateHz: number,
  options: EchoDensityOptions = {},
): EchoDensity {
  requireRange('echoDensity: sampleRateHz', sampleRateHz, 1, 1e9);
  const { windowMs, hopMs } = resolveParameters('echoDensity: ', echoDensityParameters, options, sampleRateHz);
  const length = Math.max(1, Math.round((windowMs / 1000) * sampleRateHz)),
    hop = (hopMs / 1000) * sampleRateHz;
  const weights = Float64Array.from({ length }, (_, i) => (1 - cosOfTurns((i + 0.5) / length)) / length);
  const windows = Math.max(0, Math.floor((impulseResponse.length - length) / hop) + 1);
  const starts = Float64Array.from({ length: windows }, (_, w) => Math.round(w * hop));
  return {
    timesSeconds: starts.map((start) => (start + length / 2) / sampleRateHz),
    density: starts.map((start) => shareBeyondDeviation(impulseResponse, start, weights) / GAUSSIAN_SHARE),
  };
}

function shareBeyondDeviation(h: Float32Array | Float64Array, start: number, weights: Float64Array): number {
  let power = 0,
    share = 0;
  for (let i = 0; i < weights.length; i++) power += weights[i] * h[start + i] * h[start + i];
  for (let i = 0; i < weights.length; i++) if (h[start + i] * h[start + i] > power) share += weights[i];
  return share;
}
