/**
 * Ranges of axes that fit data: the extremes, widened to round values.
 * @module
 */
import { decibelStep, niceStep } from './ticks.ts';

/** Ends of an axis. */
export interface AxisRange {
  /** Lower end. */
  readonly from: number;
  /** Upper end. */
  readonly to: number;
}

/** From the lowest to the highest finite value of all lists; undefined if there is none. */
export function extremes(lists: readonly ArrayLike<number>[]): AxisRange | undefined {
  let from = Infinity,
    to = -Infinity;
  for (const values of lists) {
    for (let i = 0; i < values.length; i++) {
      const value = values[i];
      if (!Number.isFinite(value)) continue;
      if (value < from) from = value;
      if (value > to) to = value;
    }
  }
  return from <= to ? { from, to } : undefined;
}

/** A range that ends at round values, within which all values lie; 0 to 1 where there are none. */
export function roundRange(lists: readonly ArrayLike<number>[]): AxisRange {
  return widened(extremes(lists) ?? { from: 0, to: 1 }, (span) => niceStep(span, 8));
}

/** The same for levels in dB; silence far below the rest does not count: at most `span` dB are shown. */
export function levelRange(lists: readonly ArrayLike<number>[], span: number): AxisRange {
  const { from, to } = extremes(lists) ?? { from: -60, to: 0 };
  return widened({ from: Math.max(from, to - span), to }, (width) => decibelStep(width, 8));
}

/** A range around zero, a little wider than the values, that ends at round ones; -1 to 1 for silence. */
export function evenRange(lists: readonly ArrayLike<number>[]): AxisRange {
  const { from, to } = extremes(lists) ?? { from: 0, to: 0 };
  const most = 1.04 * Math.max(-from, to);
  if (most === 0) return { from: -1, to: 1 };
  const step = niceStep(most, 8);
  const end = step * Math.ceil(most / step - 1e-9);
  return { from: -end, to: end };
}

function widened({ from, to }: AxisRange, stepOf: (span: number) => number): AxisRange {
  const step = to > from ? stepOf(to - from) : Math.abs(to) / 8 || 1;
  const low = step * Math.floor(from / step + 1e-9),
    high = step * Math.ceil(to / step - 1e-9);
  return high > low ? { from: low, to: high } : { from: low - step, to: high + step };
}
