/**
 * Alignment: one kit in time, from the delays and polarities between its microphones.
 * @module
 */
export type { DelayWeighting } from './cross-spectrum.ts';
export { type DelayEstimate, estimateDelay, type EstimateDelayOptions, type HitDelay } from './delay-estimate.ts';
export { alignKit } from './align-kit.ts';
export { alignmentTable } from './alignment-table.ts';
export type {
  AlignKitOptions,
  AlignmentMethod,
  AlignmentMove,
  KitAlignment,
  KitMicrophone,
  PairAlignment,
} from './kit-alignment.ts';
export { type AlignedMicrophones, applyAlignment, movedSource } from './apply-alignment.ts';
export { drawPair, type PairPicture } from './draw-pair.ts';
export { type AlignmentMoves, type AppliedMoves, inverseMoves, leadOf } from './moves.ts';
export { type PhaseRotation, type PhaseRotationOptions, searchPhaseRotation } from './phase-rotation.ts';
export { type BandLoss, type SummationLoss, summationLoss, type SummationLossOptions } from './summation-loss.ts';
export type { SearchRange } from './search-range.ts';
