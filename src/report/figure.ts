/**
 * Figures as they stand in a report: never NaN, never infinite; what has no value is a dash.
 * @module
 */
import { numeral } from '../plots/ticks.ts';

/** Stands for no figure: silence, or too short a sound. */
export const NO_FIGURE = '\u{2013}';

/** Units by the suffix of a parameter's name. */
const UNITS: readonly (readonly [suffix: string, unit: string])[] = [
  ['Db', 'dB'],
  ['Hz', 'Hz'],
  ['Ms', 'ms'],
  ['Seconds', 's'],
  ['Samples', 'samples'],
  ['Percent', '%'],
  ['Octaves', 'octaves'],
  ['Metres', 'm'],
  ['Degrees', 'degrees'],
  ['Lufs', 'LUFS'],
  ['Lu', 'LU'],
];

/** A number with so many decimals. */
export function figure(value: number | null | undefined, digits: number): string {
  return typeof value === 'number' && Number.isFinite(value) ? numeral(value, digits) : NO_FIGURE;
}

/** The same with a plus before what is above 0. */
export function signed(value: number | null | undefined, digits: number): string {
  const text = figure(value, digits);
  return Number(value) > 0 && text !== NO_FIGURE && Number(text) !== 0 ? `+${text}` : text;
}

/** Unit of a figure or parameter by its name; '' for none. */
export function unitOf(name: string): string {
  return suffixOf(name)?.[1] ?? '';
}

function suffixOf(name: string): readonly [suffix: string, unit: string] | undefined {
  return UNITS.find(([suffix]) => name.length > suffix.length && name.endsWith(suffix));
}

/** A parameter in words: `attackMs` of 25 is `attack 25 ms`; a switch that is on is its name. */
export function parameterText(name: string, value: number | string | boolean): string {
  const unit = suffixOf(name);
  const words = (unit ? name.slice(0, -unit[0].length) : name).replace(
    /[A-Z]/g,
    (letter) => ` ${letter.toLowerCase()}`,
  );
  if (typeof value === 'boolean') return value ? words : `no ${words}`;
  const text = typeof value === 'number' ? shortNumber(value) : value;
  return `${words} ${text}${unit ? ` ${unit[1]}` : ''}`;
}

/** A number with as many decimals as it needs, four at most. */
export function shortNumber(value: number): string {
  if (!Number.isFinite(value)) return NO_FIGURE;
  return numeral(value, 4)
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '');
}
