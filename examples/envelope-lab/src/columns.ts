/**
 * As much of a signal as a picture can show: the lowest and the highest value of each column of pixels.
 * @module
 */
import type { Span } from './exports.ts';

/** Two points per column, in the order in which they come; or the samples themselves, where there are fewer. */
export function columnsOf(
  values: Float32Array,
  { from, to }: Span,
  columns: number,
  sampleRateHz: number,
): { seconds: Float64Array; values: Float64Array } {
  const perColumn = (to - from) / columns;
  if (perColumn <= 2) {
    return {
      seconds: Float64Array.from({ length: to - from }, (_, i) => (from + i) / sampleRateHz),
      values: Float64Array.from(values.subarray(from, to)),
    };
  }
  const result = { seconds: new Float64Array(2 * columns), values: new Float64Array(2 * columns) };
  for (let c = 0; c < columns; c++) {
    const begin = from + Math.floor(c * perColumn),
      end = from + Math.floor((c + 1) * perColumn);
    let low = begin,
      high = begin;
    for (let i = begin; i < end; i++) {
      if (values[i] < values[low]) low = i;
      if (values[i] > values[high]) high = i;
    }
    // Times are those of the columns, so that several signals share them.
    result.seconds[2 * c] = begin / sampleRateHz;
    result.seconds[2 * c + 1] = (begin + perColumn / 2) / sampleRateHz;
    result.values[2 * c] = values[Math.min(low, high)];
    result.values[2 * c + 1] = values[Math.max(low, high)];
  }
  return result;
}
