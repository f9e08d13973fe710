/**
 * Parameter tables: default and range of every parameter, in one place. The same table validates options,
 * documents them, and describes them to a plan, a JSON schema, a worklet or a user interface.
 *
 *     export const gateParameters = {
 *       thresholdDb: { default: -40, min: -120, max: 0 },              a number; the unit is the name's suffix
 *       curve: { default: 'tanh', choices: ['cubic', 'tanh'] },        a choice
 *       guard: { default: false },                                     a switch
 *       lookaheadMs: { default: 0, min: 0, max: 50, fixed: true },     for the constructor only
 *     } as const satisfies ParameterTable;
 *
 * @module
 */
import { describe, nearestName, refuse, requireInteger, requireRange } from './check.ts';

export { describe };

/** A number with its inclusive range. */
export interface NumberRow {
  /** Value where none is given, in the unit of the name. */
  readonly default: number;
  /** Smallest value allowed. */
  readonly min: number;
  /** `nyquist` stands for 0.49 of the sample rate; the default is then the smaller of itself and that. */
  readonly max: number | 'nyquist';
  /** How a control spreads the range over its travel; linear unless given. */
  readonly taper?: 'linear' | 'log' | 'square';
  /** Whether only whole numbers are allowed. */
  readonly integer?: boolean;
  /** Changes latency or memory, so it belongs to the constructor. */
  readonly fixed?: boolean;
}

/** One of several words, or of several numbers. */
export interface ChoiceRow {
  /** Value where none is given. */
  readonly default: string | number;
  /** Every value allowed. */
  readonly choices: readonly (string | number)[];
  /** Whether it belongs to the constructor: `set` refuses it. */
  readonly fixed?: boolean;
}

/** On or off. */
export interface SwitchRow {
  /** Value where none is given. */
  readonly default: boolean;
  /** Whether it belongs to the constructor: `set` refuses it. */
  readonly fixed?: boolean;
}

/** One parameter: a number, a choice or a switch. */
export type ParameterRow = NumberRow | ChoiceRow | SwitchRow;
/** All parameters of a block by name; the unit is the name's suffix. */
export type ParameterTable = Readonly<Record<string, ParameterRow>>;

/** Type of the values that a row allows. */
export type ParameterValue<R> = R extends ChoiceRow ? R['choices'][number] : R extends SwitchRow ? boolean : number;

/** Options for a table: any subset of its parameters. */
export type ParameterOptions<T extends ParameterTable> = { readonly [K in keyof T]?: ParameterValue<T[K]> | undefined };

/** One value for every parameter of a table. */
export type ParameterValues<T extends ParameterTable> = { readonly [K in keyof T]: ParameterValue<T[K]> };

/** Largest value of a number row at a sample rate. */
export function maximumOf(row: NumberRow, sampleRateHz: number): number {
  return row.max === 'nyquist' ? 0.49 * sampleRateHz : row.max;
}

/** Default of a row at a sample rate. */
export function defaultOf(row: ParameterRow, sampleRateHz: number): number | string | boolean {
  return 'min' in row ? Math.min(row.default, maximumOf(row, sampleRateHz)) : row.default;
}

/** Returns `value`, or throws unless the row allows it. `name` leads the message: `Gate: attackMs`. */
export function requireAllowed(name: string, row: ParameterRow, value: unknown, sampleRateHz: number): unknown {
  if ('min' in row) {
    const max = maximumOf(row, sampleRateHz);
    return row.integer ? requireInteger(name, value, row.min, max) : requireRange(name, value, row.min, max);
  }
  const kind = typeof row.default;
  if (typeof value !== kind) refuse(name, `a ${kind}`, value, TypeError);
  if ('choices' in row && !row.choices.includes(value as string | number))
    refuse(name, row.choices.join(' or '), value);
  return value;
}

/**
 * Merges `options` over `current`, or over the defaults when there is no `current`.
 *
 * @param prefix - what stands before a name in a message: `Gate: ` or `channels.snare.chain[2].`
 * @throws TypeError for an unknown name, a wrong type, or a `fixed` row given together with `current`;
 *   RangeError for a value out of range.
 */
export function resolveParameters<T extends ParameterTable>(
  prefix: string,
  table: T,
  options: ParameterOptions<T>,
  sampleRateHz: number,
  current?: ParameterValues<T>,
): ParameterValues<T> {
  if (typeof options !== 'object' || options === null) refuse(`${prefix}options`, 'an object', options, TypeError);
  for (const name in options) {
    if (!Object.hasOwn(table, name)) {
      throw new TypeError(`${prefix}${name} is unknown; the nearest name is ${nearestName(name, Object.keys(table))}`);
    }
    if (current && table[name].fixed && options[name] !== undefined) {
      throw new TypeError(`${prefix}${name} is fixed at construction`);
    }
  }
  const values: Record<string, unknown> = {};
  for (const name in table) {
    const row = table[name];
    const given: unknown = options[name];
    values[name] =
      given === undefined
        ? (current?.[name] ?? defaultOf(row, sampleRateHz))
        : requireAllowed(prefix + name, row, given, sampleRateHz);
  }
  return values as ParameterValues<T>;
}
