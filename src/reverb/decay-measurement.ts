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
 * Integrated backwards, one response gives the mean of infinitely many measured with noise. Background noise bends L. With
 * `compensateNoise` the mean power N of the noise is taken off, the integral ends at t1, where the decay sinks into the
 * noise, and what the decay would have held beyond is added, by its power P and its time T there:
 *
 *     E(t) = integral of (h^2 - N) from t to t1, plus P(t1) T / (6 ln 10)
 *
 * Source: M. R. Schroeder, "New Method of Measuring Reverberation Time", JASA 37, 1965, p. 409; ISO 3382-1:2009,
 * Annex A (from summaries); M. Guski, M. Vorlaender, "Comparison of Noise Compensation Methods for Room Acoustic Impulse
 * Response Evaluations", Acta Acustica united with Acustica 100, 2014 (from memory), for subtraction, truncation and
 * correction together.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { log10 } from '../core/maths.ts';
import { type ParameterOptions, type ParameterTable, resolveParameters } from '../core/parameters.ts';
import { lineThrough } from './line-fit.ts';
import { findNoiseFloor } from './noise-floor.ts';
import { octaveBands, octaveCentresHz } from './octave-bands.ts';

/** Parameters of {@link measureDecay}. */
export const decayParameters = {
  /** Whether background noise is found, taken off and the decay continued in its place: for measured responses. */
  compensateNoise: { default: false },
} as const satisfies ParameterTable;

/** Options of {@link measureDecay}; {@link decayParameters} gives defaults, ranges and units. */
export type DecayOptions = ParameterOptions<typeof decayParameters>;

/** What {@link measureDecay} finds. A time is NaN where the response ends, or its noise begins, before it has fallen so far. */
export interface DecayMeasures {
  /** Early decay time. */
  readonly edtSeconds: number;
  /** Decay time from -5 to -25 dB, times 3, in seconds. */
  readonly t20Seconds: number;
  /** Decay time from -5 to -35 dB, times 2, in seconds. */
  readonly t30Seconds: number;
  /** Clarity; Infinity if there is nothing after the limit. */
  readonly c50Db: number;
  /** Energy of the first 80 ms over the rest, dB. */
  readonly c80Db: number;
  /** Definition: a share from 0 to 1. */
  readonly d50: number;
  /** Centre of gravity of the energy, in seconds. */
  readonly centreTimeSeconds: number;
}

/** The measures of one octave band. */
export interface OctaveDecay extends DecayMeasures {
  /** Centre of the octave band in hertz. */
  readonly centreHz: number;
}

/** ln of the energy ratio of 60 dB, 6 ln 10. */
const NEPERS = 13.815510557964274;

/**
 * Decay times and energy ratios of an impulse response.
 *
 * @param impulseResponse - its first sample is the arrival of the direct sound: cut off what comes before
 * @throws RangeError for a response without energy, a sample rate outside 1 Hz to 1 GHz, or, with `compensateNoise`, a
 *   response in which no decay can be told from the noise; TypeError for an option of the wrong type
 */
export function measureDecay(
  impulseResponse: Float32Array | Float64Array,
  sampleRateHz: number,
  options: DecayOptions = {},
): DecayMeasures {
  requireRange('measureDecay: sampleRateHz', sampleRateHz, 1, 1e9);
  const { compensateNoise } = resolveParameters('measureDecay: ', decayParameters, options, sampleRateHz);
  const energy = compensateNoise
    ? compensatedIntegral(impulseResponse, sampleRateHz)
    : backwardIntegral(impulseResponse, impulseResponse.length, 0, 0);
  const whole = energy[0];
  if (!(whole > 0 && whole < Infinity)) {
    throw new RangeError(`measureDecay: impulseResponse must have finite energy above 0, got ${whole}`);
  }
  const later = (seconds: number) => energy[Math.min(Math.round(seconds * sampleRateHz), energy.length - 1)];
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

/**
 * The same in every octave band, 63 Hz to 16 kHz, that the sample rate holds, through the filter of {@link octaveBands}.
 *
 * @throws as {@link measureDecay} and {@link octaveBands} do
 */
export function measureOctaveDecays(
  impulseResponse: Float32Array | Float64Array,
  sampleRateHz: number,
  options: DecayOptions = {},
): OctaveDecay[] {
  requireRange('measureOctaveDecays: sampleRateHz', sampleRateHz, 1, 1e9);
  const centres = octaveCentresHz(sampleRateHz);
  return octaveBands(impulseResponse, sampleRateHz, centres).map((band, b) => ({
    centreHz: centres[b],
    ...measureDecay(band, sampleRateHz, options),
  }));
}

/** E[n], the sum of h[m]^2 - noise over n <= m < end, and the rest. The last value, at the end, is the rest. */
function backwardIntegral(h: Float32Array | Float64Array, end: number, noise: number, rest: number): Float64Array {
  const energy = new Float64Array(end + 1);
  energy[end] = rest;
  for (let n = end - 1; n >= 0; n--) energy[n] = energy[n + 1] + (h[n] * h[n] - noise);
  return energy;
}

/** E with the noise taken off and the decay continued behind its crossing. */
function compensatedIntegral(h: Float32Array | Float64Array, sampleRateHz: number): Float64Array {
  const { noisePower, crossingSeconds, decaySeconds } = findNoiseFloor(h, sampleRateHz);
  // At the crossing the decay has the power of the noise.
  const rest = (noisePower * decaySeconds * sampleRateHz) / NEPERS;
  return backwardIntegral(h, Math.round(crossingSeconds * sampleRateHz), noisePower, rest);
}

/** Slope, per sample, of the least-squares line through the falling `levels` between two of their values. */
function slope(levels: Float64Array, fromDb: number, toDb: number): number {
  let start = 0;
  while (levels[start] > fromDb) start++;
  let end = start;
  while (levels[end] >= toDb) end++;
  if (end === levels.length) return NaN; // only where noise was taken off: else the last level is -Infinity
  // Fewer than two levels lie in between: the response fell at once.
  return end - start < 2 ? -Infinity : lineThrough(levels, start, end).slope;
}
