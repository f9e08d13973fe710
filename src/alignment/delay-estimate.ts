/**
 * Results of estimating by how much one microphone hears a drum later than another.
 *
 * @module
 */

/** One hit's own result. */
export interface HitDelay {
  /** Position of the hit in the reference microphone. */
  readonly sample: number;
  /** Delay that this hit alone shows. */
  readonly delaySamples: number;
  readonly polarity: 1 | -1;
  /** Share in the result, by the energy of the hit; the weights of the hits that are no outliers sum to 1. */
  readonly weight: number;
  /** Whether the hit disagrees with the others and was left out. */
  readonly outlier: boolean;
}

/** Delay between two microphones. */
export interface DelayEstimate {
  /** Positive: `other` hears it later than `reference`. */
  readonly delaySamples: number;
  /** -1: `other` hears it inverted, at that delay. */
  readonly polarity: 1 | -1;
  /** 0 (a guess, or nothing to go by) to 1 (certain). */
  readonly confidence: number;
  /** Why the confidence is low, in words; empty when it is high. */
  readonly reasons: readonly string[];
  /** The hits used. */
  readonly hits: readonly HitDelay[];
  /** Weighted correlation over the search window, for drawing; the peak of largest magnitude is the delay. */
  readonly correlation: {
    /** Delay of the first value. */
    readonly startSamples: number;
    /** Distance between two values, a fraction of a sample. */
    readonly stepSamples: number;
    /** -1 to 1. */
    readonly values: Float64Array;
  };
}
