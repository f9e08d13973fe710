/**
 * Decay of an impulse response h by backward integration.
 *
 *     E(t) = integral of h^2 from t to the end,     L(t) = 10 lg(E(t) / E(0)) dB
 *
 *     EDT    6 times the time that L takes from   0 to -10 dB  )
 *     T20    3 times the time that L takes from  -5 to -25 dB  )  on the least-squares line through L
 *     T30    2 times the time that L takes from  -5 to -35 dB  )
 *     C50    10 lg(energy of the first 50 ms / energy after them),    C80 likewise with 80 ms
 *     D50    energy of the first 50 ms / whole energy
 *     Ts     centre of gravity of h^2
 *
 * Integrated backwards, one response gives the mean of infinitely many measured with noise. Background noise bends L:
 * cut the response before the noise floor.
 *
 * Source: M. R. Schroeder, "New Method of Measuring Reverberation Time", JASA 37, 1965, p. 409; ISO 3382-1:2009,
 * Annex A (from summaries).
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { log10 } from '../core/maths.ts';

/** What {@link measureDecay} finds. */
export interface DecayMeasures {
  /** Early decay time. */
  readonly edtSeconds: number;
  readonly t20Seconds: number;
  readonly t30Seconds: number;
  /** Clarity; Infinity if there is nothing after the limit. */
  readonly c50Db: number;
  readonly c80Db: number;
  /** Definition: a share from 0 to 1. */
  readonly d50: number;
  readonly centreTimeSeconds: number;
}

/**
 * Decay times and energy ratios of an impulse response.
 *
 * @param impulseResponse - its first sample is the arrival of the direct sound: cut off what comes before
 * @throws RangeError for a response without energy or a sample rate outside 1 Hz to 1 GHz
 */
export function measureDecay(impulseResponse: Float32Array | Float64Array, sampleRateHz: number): DecayMeasures {
  requireRange('measureDecay: sampleRateHz', sampleRateHz, 1, 1e9);
  const energy = backwardIntegral(impulseResponse);
  const whole = energy[0];
  if (!(whole > 0 && whole < Infinity)) {
    throw new RangeError(`measureDecay: impulseResponse must have finite energy above 0, got ${whole}`);
  }
  const later = (seconds: number) => energy[Math.min(Math.round(seconds * sampleRateHz), impulseResponse.length)];
  const clarityDb = (seconds: number) => 10 * log10((whole - later(seconds)) / later(seconds));
  // The sum of n h[n]^2 is the sum of E[n] over n >= 1.
  let moment = 0;
  for (let n = 1; n < energy.length; n++) moment += energy[n];

  const levels = energy.map((e) => 10 * log10(e / whole));
  const decay = (fromDb: number, toDb: number) => -60 / slope(levels, fromDb, toDb) / sampleRateHz;
  return {
    edtSeconds: decay(0, -10),
    t20Seconds: decay(-5, -25),
    t30Seconds: decay(-5, -35),
    c50Db: clarityDb(0.05),
    c80Db: clarityDb(0.08),
    d50: 1 - later(0.05) / whole,
    centreTimeSeconds: moment / whole / sampleRateHz,
  };
}

/** E[n] = h[n]^2 + h[n+1]^2 + ..., and a last 0 for the end. */
function backwardIntegral(h: Float32Array | Float64Array): Float64Array {
  const energy = new Float64Array(h.length + 1);
  for (let n = h.length - 1; n >= 0; n--) energy[n] = energy[n + 1] + h[n] * h[n];
  return energy;
}

/** Slope, per sample, of the least-squares line through the falling `levels` between two of their values. */
function slope(levels: Float64Array, fromDb: number, toDb: number): number {
  let start = 0;
  while (levels[start] > fromDb) start++;
  let end = start;
  while (levels[end] >= toDb) end++;
  // Fewer than two levels lie in between: the response fell at once.
  if (end - start < 2) return -Infinity;

  const centre = (start + end - 1) / 2;
  let product = 0,
    square = 0;
  for (let n = start; n < end; n++) {
    product += (n - centre) * levels[n];
    square += (n - centre) * (n - centre);
  }
  return product / square;
}
