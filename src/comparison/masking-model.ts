/**
 * Masking model: from which level on a sound is heard beside another, band by band.
 *
 *     masker powers in ERB bands -> spread over the bands -> less the offset = threshold
 *
 *     S(dz) = 15.81 + 7.5 (dz + 0.474) - 17.5 sqrt(1 + (dz + 0.474)^2)  dB,    dz = maskee - masker in Bark
 *     z(f)  = 26.81 f / (1960 + f) - 0.53,  z < 2: + 0.15 (2 - z),  z > 20.1: + 0.22 (z - 20.1)
 *
 * A masker covers more of what lies above it than of what lies below. Powers of several maskers add up. The offset is that
 * of a masker like noise: what lies less than 5.5 dB under it is still heard.
 *
 * Source: M. R. Schroeder, B. S. Atal, J. L. Hall, JASA 66, 1979 (spreading); H. Traunmueller, JASA 88, 1990 (Bark);
 * J. D. Johnston, IEEE J. Sel. Areas Commun. 6(2), 1988 (offset, from memory). The model knows neither the level of the
 * loudspeakers nor masking before and after a sound.
 *
 * @module
 */
import { pow } from '../core/maths.ts';

/** How far below a masker like noise a sound is still heard, in dB. */
export const NOISE_OFFSET_DB = 5.5;

/** Critical-band rate of a frequency in Hz, 0 to about 24 Bark. */
export function barkOf(frequencyHz: number): number {
  const z = (26.81 * frequencyHz) / (1960 + frequencyHz) - 0.53;
  if (z < 2) return z + 0.15 * (2 - z);
  return z > 20.1 ? z + 0.22 * (z - 20.1) : z;
}

/** Level, in dB, that a masker has at a place `distanceBark` above it (negative: below it), relative to its own. */
export function spreadingDb(distanceBark: number): number {
  const x = distanceBark + 0.474;
  return 15.81 + 7.5 * x - 17.5 * Math.sqrt(1 + x * x);
}

/** Shares of the power of each band (column) that mask in each band (row), the offset included. */
export function maskingMatrix(centresHz: readonly number[]): readonly Float64Array[] {
  const bark = centresHz.map(barkOf);
  return bark.map((at) => Float64Array.from(bark, (from) => pow(10, (spreadingDb(at - from) - NOISE_OFFSET_DB) / 10)));
}

/** Fills `threshold` with the power that a sound must have in each band to be heard beside `masker`. */
export function maskedThreshold(matrix: readonly Float64Array[], masker: Float64Array, threshold: Float64Array): void {
  for (let b = 0; b < threshold.length; b++) {
    const row = matrix[b];
    let sum = 0;
    for (let m = 0; m < masker.length; m++) sum += row[m] * masker[m];
    threshold[b] = sum;
  }
}
