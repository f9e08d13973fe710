/**
 * Meters: figures of finished sound.
 * @module
 */
export { kWeighting } from './k-weighting.ts';
export { loudnessWeights, type LoudspeakerLayout } from './loudness-weights.ts';
export { type LoudnessFigures, LoudnessMeter, measureLoudness } from './loudness.ts';
export { measureTruePeak, TruePeakMeter, type TruePeakMethod, type TruePeakOptions } from './true-peak.ts';
