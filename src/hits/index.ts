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
