/**
 * Frequency bands: third octaves, and bands as wide as the ear's filters.
 *
 *     third octave k     centre 1000 x 10^(k/10) Hz, edges 10^(+-1/20) away: ten to the decade       (base 10)
 *     ERB number         E(f) = 21.4 lg(4.37 f/1000 + 1), f in Hz: how many filters fit below f
 *     ERB band e         from E = e - 1/2 to e + 1/2;  the filter at f is 24.7 (4.37 f/1000 + 1) Hz wide
 *
 * Source: IEC 61260-1:2014 for the third octaves and ISO 266 for their names (from memory); B. R. Glasberg, B. C. J. Moore,
 * "Derivation of auditory filter shapes from notched-noise data", Hearing Research 47, 1990.
 *
 * @module
 */
import { log10, pow } from '../core/maths.ts';

/** A band of frequencies. */
export interface Band {
  /** How the band is called: the rounded frequency of a third octave, the ERB number of an ERB band. */
  readonly name: string;
  readonly centreHz: number;
  readonly lowerHz: number;
  readonly upperHz: number;
}

const ERB_PER_DECADE = 21.4;
const ERB_SLOPE_PER_HZ = 0.00437;
const ERB_AT_ZERO_HZ = 24.7;
const LAST_ERB_BAND = 41;

/** The 31 third octaves from 20 Hz to 20 kHz. */
export function thirdOctaveBands(): Band[] {
  const decade = ['20', '25', '31.5', '40', '50', '63', '80', '100', '125', '160'];
  return Array.from({ length: 31 }, (_, i) => {
    const k = i - 17;
    const nominal = Number(decade[i % 10]) * Number(`1e${Math.floor(i / 10)}`);
    return {
      name: String(nominal),
      centreHz: 1000 * pow(10, k / 10),
      lowerHz: 1000 * pow(10, (k - 0.5) / 10),
      upperHz: 1000 * pow(10, (k + 0.5) / 10),
    };
  });
}

/** The 41 ERB bands around the ERB numbers 1 to 41, from 13 Hz to 19.7 kHz. */
export function erbBands(): Band[] {
  return Array.from({ length: LAST_ERB_BAND }, (_, i) => ({
    name: String(i + 1),
    centreHz: erbFrequency(i + 1),
    lowerHz: erbFrequency(i + 0.5),
    upperHz: erbFrequency(i + 1.5),
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
