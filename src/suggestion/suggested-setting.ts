/**
 * A setting of a plan with the measurement that it rests on.
 * @module
 */

/** One value. */
export interface SuggestedSetting {
  /** Where it stands in the plan: `channels.snareTop.chain[0].thresholdDb`. */
  readonly path: string;
  /** What the plan says there, in the unit of its name. */
  readonly value: number;
  /** What was measured, and the rule that led from it to the value. */
  readonly reason: string;
}
