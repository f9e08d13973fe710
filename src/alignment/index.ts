/**
 * Alignment: one kit in time, from the delays and polarities between its microphones.
 * @module
 */
export type { DelayEstimate, HitDelay } from './delay-estimate.ts';
export type { AlignmentMove, KitAlignment, KitMicrophone, PairAlignment } from './kit-alignment.ts';
