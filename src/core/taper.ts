/**
 * Tapers: a number parameter as a control's travel from 0 to 1 and back.
 *
 *     linear   value = min + (max - min) x
 *     log      value = min (max / min)^x            equal ratios over equal travel; min must be above 0
 *     square   value = min + (max - min) x^2        fine steps near min, for times that start at 0
 *
 * @module
 */
import { log2, pow } from './maths.ts';
import { maximumOf, type NumberRow } from './parameters.ts';
import { requireRange } from './check.ts';

/** Value of a parameter at `position` (0 to 1) of its control. */
export function valueAtPosition(row: NumberRow, position: number, sampleRateHz: number): number {
  requireRange('valueAtPosition: position', position, 0, 1);
  const { min } = row;
  const max = maximumOf(row, sampleRateHz);
  if (position === 1) return max;
  const value =
    row.taper === 'log'
      ? min * pow(max / min, position)
      : min + (max - min) * (row.taper === 'square' ? position * position : position);
  return Math.min(row.integer ? Math.round(value) : value, max);
}

/** Position (0 to 1) of a control that shows `value`. */
export function positionOfValue(row: NumberRow, value: number, sampleRateHz: number): number {
  const { min } = row;
  const max = maximumOf(row, sampleRateHz);
  requireRange('positionOfValue: value', value, min, max);
  if (row.taper === 'log') return log2(value / min) / log2(max / min);
  const share = (value - min) / (max - min);
  return row.taper === 'square' ? Math.sqrt(share) : share;
}
