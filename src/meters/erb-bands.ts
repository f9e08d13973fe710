/**
 * ERB bands: bands as wide as the ear's filters.
 *
 *     ERB number   E(f) = 21.4 lg(4.37 f/1000 + 1), f in Hz: how many filters fit below f
 *     band e       from E = e - 1/2 to e + 1/2;    the filter at f is 24.7 (4.37 f/1000 + 1) Hz wide
 *
 * Source: B. R. Glasberg, B. C. J. Moore, "Derivation of auditory filter shapes from notched-noise data", Hearing
 * Research 47, 1990 (from memory).
 *
 * @module
 */
import { log10, pow } from '../core/maths.ts';
import type { FrequencyBand } from '../core/third-octaves.ts';

/** A band by its middle. */
export interface ErbBand extends FrequencyBand {
  /** Centre in hertz. */
  readonly frequencyHz: number;
}

const ERB_PER_DECADE = 21.4;
const ERB_SLOPE_PER_HZ = 0.00437;
const ERB_AT_ZERO_HZ = 24.7;
const LAST_BAND = 41;

/** The 41 bands around the ERB numbers 1 to 41, from 13 Hz to 19.7 kHz. */
export function erbBands(): ErbBand[] {
  return Array.from({ length: LAST_BAND }, (_, i) => ({
    frequencyHz: erbFrequency(i + 1),
    fromHz: erbFrequency(i + 0.5),
    toHz: erbFrequency(i + 1.5),
  }));
}

/** ERB number of a frequency in Hz (0 or above). */
export function erbNumber(frequencyHz: number): number {
  return ERB_PER_DECADE * log10(ERB_SLOPE_PER_HZ * frequencyHz + 1);
}

/** Frequency in Hz of an ERB number. */
export function erbFrequency(number: number): number {
  return (pow(10, number / ERB_PER_DECADE) - 1) / ERB_SLOPE_PER_HZ;
}

/** Equivalent rectangular bandwidth, in Hz, of the ear's filter at a frequency in Hz. */
export function erbWidthHz(frequencyHz: number): number {
  return ERB_AT_ZERO_HZ * (ERB_SLOPE_PER_HZ * frequencyHz + 1);
}
