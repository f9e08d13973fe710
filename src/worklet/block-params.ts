/**
 * Parameters of a block as AudioParams, for hosts that automate.
 *
 * Numbers and switches that may be set while running become k-rate AudioParams (a switch is on from 0.5); choices and
 * fixed rows are options of the node. An AudioParam is a float32, so a node's values are rounded to that.
 *
 * @module
 */
import { defaultOf, maximumOf, type NumberRow, type ParameterRow, type ParameterTable } from '../core/parameters.ts';
import type { ParamDescriptor } from './scope.ts';

/** AudioParams of a parameter table. */
export function paramDescriptors(table: ParameterTable, sampleRateHz: number): ParamDescriptor[] {
  return automated(table).map(([name, row]) => ({
    name,
    defaultValue: Number(defaultOf(row, sampleRateHz)),
    minValue: isNumber(row) ? row.min : 0,
    maxValue: isNumber(row) ? maximumOf(row, sampleRateHz) : 1,
    automationRate: 'k-rate',
  }));
}

/** Rows that become AudioParams. */
export function automated(table: ParameterTable): readonly (readonly [string, ParameterRow])[] {
  return Object.entries(table).filter(([, row]) => !row.fixed && (isNumber(row) || typeof row.default === 'boolean'));
}

/** What an AudioParam's value means to the block: within the row's range, which float32 may miss by its last bit. */
export function parameterValue(row: ParameterRow, value: number, sampleRateHz: number): number | boolean {
  if (!isNumber(row)) return value >= 0.5;
  const within = Math.min(maximumOf(row, sampleRateHz), Math.max(row.min, value));
  return row.integer ? Math.round(within) : within;
}

function isNumber(row: ParameterRow): row is NumberRow {
  return 'min' in row;
}
