/**
 * Rings end to end in one array: loops that walk several rings side by side need registers for one array only.
 * @module
 */

/** One array, and each ring as a view of it. */
export interface Rings {
  readonly rings: Float64Array;
  /** Where each ring begins, and where the last one ends. */
  readonly starts: readonly number[];
  readonly views: readonly Float64Array[];
}

/** @param lengths - of the rings, whole and at least 1 */
export function ringsEndToEnd(lengths: readonly number[]): Rings {
  const starts = [0];
  for (const length of lengths) starts.push(starts[starts.length - 1] + length);
  const rings = new Float64Array(starts[lengths.length]);
  return { rings, starts, views: lengths.map((_, r) => rings.subarray(starts[r], starts[r + 1])) };
}
