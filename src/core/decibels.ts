/**
 * Conversion between decibels and linear gain: gain = 10^(dB / 20), so that 20 dB is a factor of 10.
 *
 * @module
 */
import { exp2, log10 } from './maths.ts';

/** 20 lg 2: dB in a factor of two. */
export const DB_PER_OCTAVE = 6.020599913279624;

const OCTAVES_PER_DB = 0.16609640474436813; // log2(10) / 20
const DB_PER_OCTAVE_HIGH = 6.02059991328133; // 20 log10(2) in two parts: the first has 40 bits,
const DB_PER_OCTAVE_LOW = -1.7064688634114212e-12; // so that its product with whole octaves is exact

/**
 * Linear gain of a level in dB, relative error at most 1e-15. 0 dB is exactly 1, -Infinity dB exactly 0,
 * and +-20 dB the nearest numbers to 10 and 0.1.
 *
 * @param db - any number; NaN gives NaN
 */
export function dbToGain(db: number): number {
  if (Math.abs(db) > 7000) return db > 0 ? Infinity : 0;
  const octaves = Math.floor(db * OCTAVES_PER_DB + 0.5);
  return exp2(octaves, (db - octaves * DB_PER_OCTAVE_HIGH - octaves * DB_PER_OCTAVE_LOW) * OCTAVES_PER_DB);
}

/**
 * Level in dB of a linear gain, relative error at most 1e-15. Gain 1 is exactly 0 dB, gain 0 is -Infinity dB.
 *
 * @param gain - 0 or above; a negative gain gives NaN, take its magnitude first
 */
export function gainToDb(gain: number): number {
  return 20 * log10(gain);
}
