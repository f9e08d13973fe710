/**
 * Straight line through a stretch of values by least squares.
 *
 *     v[n] ~ at0 + slope n,    slope = sum (n - c) v[n] / sum (n - c)^2,    c the middle of the stretch
 *
 * @module
 */

/** Value at index 0, and change per index. */
export interface Line {
  readonly at0: number;
  readonly slope: number;
}

/** The line through `values[start .. end)`; NaN if there are fewer than two of them. */
export function lineThrough(values: Float64Array, start: number, end: number): Line {
  const centre = (start + end - 1) / 2;
  let product = 0,
    square = 0,
    sum = 0;
  for (let n = start; n < end; n++) {
    const away = n - centre;
    product += away * values[n];
    square += away * away;
    sum += values[n];
  }
  const slope = product / square;
  return { at0: sum / (end - start) - slope * centre, slope };
}
