/**
 * Meters: figures of finished sound.
 * @module
 */
export { type ErbBand, erbBands, erbFrequency, erbNumber, erbWidthHz } from './erb-bands.ts';
export { correlation, CorrelationMeter } from './correlation.ts';
export { hitPunch, type HitPunch, type HitPunchOptions } from './hit-punch.ts';
export { kWeighting } from './k-weighting.ts';
export { type ChannelLevel, LevelMeter } from './level-meter.ts';
export { loudnessWeights, type LoudspeakerLayout } from './loudness-weights.ts';
export { type LoudnessFigures, LoudnessMeter, measureLoudness } from './loudness.ts';
export { measureLevels, type ProgrammeFigures, ProgrammeMeter } from './programme-meter.ts';
export { type BandLevel, bandSpectrum, SpectrumMeter } from './spectrum.ts';
export { measureTruePeak, TruePeakMeter, type TruePeakMethod, type TruePeakOptions } from './true-peak.ts';
export { aWeightingDb, cWeightingDb } from './weighting.ts';
