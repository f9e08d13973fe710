export { detectHits, type DetectHitsOptions, detectHitsParameters, type DrumMicrophone } from './detect-hits.ts';
export {
  type DeletedHit,
  type Hit,
  type HitList,
  hitListOf,
  type HitSource,
  hitSources,
  parseHitList,
  type RejectedHit,
} from './hit-list.ts';
export type { Complex } from './hermitian-solve.ts';
export { hitListSchema } from './hit-list-schema.ts';
export { hitsFromCsv, hitsToCsv } from './hits-csv.ts';
export { type DrumKind, drumKinds, type KeyBand, keyBandOf } from './key-bands.ts';
export { addHit, mergeHits, removeHit } from './merge-hits.ts';
export { type Onset, OnsetDetector, type OnsetDetectorOptions, onsetDetectorParameters } from './onset-detector.ts';
export { type HitScore, scoreHits, type VelocityClassScore } from './score-hits.ts';
export { dbOfVelocity, velocityCurveParameters, type VelocityCurveOptions, velocityOfDb } from './velocity.ts';
export type { BlendedSample } from './blended-samples.ts';
export { BleedReduction } from './bleed-reduction.ts';
export { HitKey, type HitKeyOptions, hitKeyParameters } from './hit-key.ts';
export { HitLayers } from './hit-layers.ts';
export { type LayeredHits, layerHits } from './layer-hits.ts';
export { type LayerOptions, layerParameters, type LayerValues } from './layer-parameters.ts';
export { type BleedFilter, type BleedOptions, bleedParameters, learnBleedFilter } from './learn-bleed.ts';
export type { VelocityLayer } from './layer-samples.ts';
export { type LayerHit, type LayerPlacement, type PlacedLayers, placeLayers } from './place-layers.ts';
