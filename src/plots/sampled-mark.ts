/**
 * Sampled mark: evenly spaced values as a curve, or, where a pixel would hold several of them, as the area between the
 * lowest and the highest of each pixel.
 *
 * What falls into one pixel cannot be told apart in the picture, and the file does not grow with the signal.
 *
 * @module
 */
import type { AreaMark, LineMark } from './marks.ts';

/** Values at `start`, `start + step`, `start + 2 step` ... */
export interface Sampled {
  readonly start: number;
  readonly step: number;
  readonly values: ArrayLike<number>;
}

/** Values per column from which an area tells more than a curve. */
const CROWDED = 3;

/** A curve, or an area of `columns` columns. */
export function sampledMark({ start, step, values }: Sampled, columns: number): LineMark | AreaMark {
  const count = values.length;
  if (count < CROWDED * columns) {
    return { kind: 'line', x: Float64Array.from({ length: count }, (_, i) => start + i * step), y: values };
  }
  const x = new Float64Array(columns),
    low = new Float64Array(columns),
    high = new Float64Array(columns);
  for (let c = 0; c < columns; c++) {
    // One value of the next column is in this one too, so that a steep curve leaves no gap.
    const first = Math.floor((c * count) / columns),
      last = Math.min(count - 1, Math.floor(((c + 1) * count) / columns));
    let least = Infinity,
      most = -Infinity;
    for (let i = first; i <= last; i++) {
      if (values[i] < least) least = values[i];
      if (values[i] > most) most = values[i];
    }
    x[c] = start + ((first + last) / 2) * step;
    low[c] = least;
    high[c] = most;
  }
  return { kind: 'area', x, low, high };
}
