/** Medians and spreads of repeated measurements. */

/** The value that a share `q` of the values lies below, linear between two of them. */
export function quantile(values: readonly number[], q: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  const at = q * (sorted.length - 1);
  const low = sorted[Math.floor(at)];
  return low + (at % 1) * (sorted[Math.ceil(at)] - low);
}

export const median = (values: readonly number[]): number => quantile(values, 0.5);

/** Interquartile range in percent of the median: half of all values lie within. */
export const spreadPercent = (values: readonly number[]): number =>
  (100 * (quantile(values, 0.75) - quantile(values, 0.25))) / median(values);
