/**
 * Mix: the plan of a mix, and the renderer that runs it.
 *
 * @module
 */
export { type AlignedPair, alignInputs, type InputAlignment } from './align-inputs.ts';
export { arrayInput } from './array-input.ts';
export { alignmentMoveParameters, alignmentParameters, type AlignmentPlan } from './alignment-plan.ts';
export { type AlignmentReport, alignmentReport, type PairReport } from './alignment-report.ts';
export { type CostEstimate, estimateCost, type EstimateCostOptions } from './estimate-cost.ts';
export type { AddedHitPlan, DrumPlan, HitsPlan, LayerFilesPlan, LayerPlan } from './hits-plan.ts';
export type { DrumHitsReport, HitsReport } from './hits-report.ts';
export type { HitResources } from './prepare-hits.ts';
export type { MixInput } from './input-reader.ts';
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
export { type MixReport, renderMix, type RenderOptions, type StripReport } from './renderer.ts';
