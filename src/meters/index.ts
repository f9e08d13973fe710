/**
 * Meters: figures of finished sound.
 * @module
 */
export { kWeighting } from './k-weighting.ts';
export { LoudnessMeter, measureLoudness } from './loudness.ts';
