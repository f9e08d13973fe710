/**
 * Times in samples.
 * @module
 */

/** The number of samples nearest to a time in milliseconds. */
export function millisecondsToSamples(timeMs: number, sampleRateHz: number): number {
  return Math.round((timeMs / 1000) * sampleRateHz);
}
