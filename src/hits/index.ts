export {
  type DeletedHit,
  type Hit,
  type HitList,
  hitListOf,
  type HitSource,
  parseHitList,
  type RejectedHit,
} from './hit-list.ts';
export { dbOfVelocity, velocityCurveParameters, type VelocityCurveOptions, velocityOfDb } from './velocity.ts';
export { HitKey, type HitKeyOptions, hitKeyParameters } from './hit-key.ts';
export { HitLayers } from './hit-layers.ts';
export { type LayeredHits, layerHits } from './layer-hits.ts';
export { type LayerOptions, layerParameters, type LayerValues } from './layer-parameters.ts';
export type { VelocityLayer } from './layer-samples.ts';
export { type LayerHit, type LayerPlacement, type PlacedLayers, placeLayers } from './place-layers.ts';
