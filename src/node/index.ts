/**
 * Node: plans, kits and WAV files on disk.
 *
 * @module
 */
export { alignmentSummary } from './align-summary.ts';
export { type AlignedPlanFile, alignPlanFile, type AlignPlanFileOptions } from './align-plan-file.ts';
export { type HitsFolder, hitsPlanFile, type HitsPlanFileOptions } from './hits-plan-file.ts';
export { type MeasuredFile, measureFile, type MeasureFileOptions } from './measure-file.ts';
export { measureCsv, measureJson, measureTable } from './measure-summary.ts';
export { hitsFromMidi, hitsToMidi, type MidiHitsOptions } from './midi-hits.ts';
export { type BatchEntry, type MixBatch, mixBatch, type MixBatchOptions, type Shard } from './mix-batch.ts';
export { mixPlanFile, type MixPlanFileOptions, type MixStage, readPlanFile } from './mix-plan-file.ts';
export { type PercussionNotes, percussionNotes } from './percussion-notes.ts';
export { type PlannedFolder, planFolder, type PlanFolderOptions } from './plan-folder.ts';
export { planJson, planSummary } from './plan-summary.ts';
export { type SimulatedFolder, simulateFolder } from './simulate-folder.ts';
export { WavInput, WavOutput, writeWavFile } from './wav-files.ts';
export { hitsSummary, mixSummary, simulationSummary } from './summary.ts';
