/**
 * Values as a person would set them.
 * @module
 */

/** The multiple of `step` nearest to a value. */
export function roundTo(value: number, step: number): number {
  return Number((Math.round(value / step) * step).toPrecision(12));
}

/** The same, but at least one step. */
export function firstMultiple(value: number, step: number): number {
  return Math.max(step, roundTo(value, step));
}
