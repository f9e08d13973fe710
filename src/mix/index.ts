/**
 * Mix: the plan of a mix, and the renderer that runs it.
 *
 * @module
 */
export { type AlignedPair, alignInputs, type InputAlignment } from './align-inputs.ts';
export { arrayInput } from './array-input.ts';
export { alignmentMoveParameters, alignmentParameters, type AlignmentPlan } from './alignment-plan.ts';
export { type AlignmentReport, alignmentReport, type PairReport } from './alignment-report.ts';
export { contextParameters, type ContextPlan, referenceParameters, type ReferencePlan } from './comparison-plan.ts';
export { type CostEstimate, estimateCost, type EstimateCostOptions } from './estimate-cost.ts';
export type { AddedHitPlan, DrumPlan, HitsPlan, LayerFilesPlan, LayerPlan } from './hits-plan.ts';
export type { GainReport } from './gain-trace.ts';
export type { DrumHitsReport, HitsReport } from './hits-report.ts';
export type { HitResources } from './prepare-hits.ts';
export type { MixInput } from './input-reader.ts';
export { type InputLevels, MeteredInput } from './metered-input.ts';
export { panGains, type PanLaw, panMatrix } from './pan.ts';
export { parsePlan } from './parse-plan.ts';
export { mixPlanSchema } from './plan-schema.ts';
export {
  type AutomationPlan,
  type BusPlan,
  type ChannelPlan,
  type InputPlan,
  type MixBusPlan,
  type MixPlan,
  type OutputPlan,
  type SendPlan,
} from './plan.ts';
export type { MixSink } from './mix-run.ts';
export { type MixReport, renderMix, type RenderOptions } from './renderer.ts';
export type { BlockReport, StripReport } from './strip-report.ts';
