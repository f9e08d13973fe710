/**
 * Controls for a table of parameters: a slider and a number for each number, a list for each choice, a box for each
 * switch. A value that the table does not allow is not taken; the control says what would be.
 *
 * @module
 */
import {
  type NumberRow,
  type ParameterRow,
  type ParameterTable,
  positionOfValue,
  valueAtPosition,
} from 'batterhead/core';
import { make } from './dom.ts';
import { type BlockOptions, rangeOf } from './settings.ts';
import { nameAndUnit, sentence, spaced } from './words.ts';

type Value = number | string | boolean;

/** What controls are made for. */
export interface ControlsOptions {
  /** Begins every id. */
  readonly prefix: string;
  readonly table: ParameterTable;
  /** Values that are not the defaults. */
  readonly values: BlockOptions;
  readonly descriptions: Readonly<Record<string, string>>;
  readonly sampleRateHz: number;
  readonly onChange: (name: string, value: Value) => void;
}

/** Steps of a slider over its whole travel. */
const STEPS = 240;

/** A row of controls for each parameter. */
export function controlsFor(options: ControlsOptions): HTMLElement[] {
  return Object.entries(options.table).map(([name, row]) => controlFor(options, name, row));
}

function controlFor(options: ControlsOptions, name: string, row: ParameterRow): HTMLElement {
  const { prefix, values, descriptions, onChange } = options;
  const id = `${prefix}-${name}`;
  const unit = nameAndUnit(name)[1];
  const text = labelOf(options.table, name);
  const value = values[name] ?? row.default;
  const label = make('label', { for: id }, text);
  const help = make('small', { id: `${id}-help` }, plain(descriptions[name] ?? ''));
  const common = { id, name, 'aria-describedby': `${id}-help` };
  const line = (...inputs: HTMLElement[]) => make('div', { class: 'control' }, label, ...inputs, help);

  if ('choices' in row) {
    const list = row.choices.map((choice) =>
      make('option', { value: choice, selected: choice === value }, spaced(String(choice))),
    );
    const select = make('select', common, ...list);
    select.addEventListener('change', () => onChange(name, row.choices[select.selectedIndex]));
    return line(select);
  }
  if (!('min' in row)) {
    const box = make('input', { ...common, type: 'checkbox', checked: value === true });
    box.addEventListener('change', () => onChange(name, box.checked));
    return line(box);
  }
  return line(...numberInputs(options, name, row, value as number, common, unit));
}

/** Name of a parameter, with its unit where another has the same name: attackDb and attackMs. */
function labelOf(table: ParameterTable, name: string): string {
  const [text, unit] = nameAndUnit(name);
  const alike = Object.keys(table).filter((other) => nameAndUnit(other)[0] === text);
  return sentence(alike.length > 1 ? `${text} (${unit})` : text);
}

function numberInputs(
  { table, sampleRateHz, onChange }: ControlsOptions,
  name: string,
  row: NumberRow,
  value: number,
  common: Readonly<Record<string, string>>,
  unit: string,
): HTMLElement[] {
  const text = labelOf(table, name);
  const slider = make('input', { ...common, type: 'range', min: 0, max: STEPS, step: 1 });
  const number = make('input', {
    type: 'number',
    id: `${common.id}-number`,
    'aria-label': `${text}${unit === '' ? '' : ` in ${unit}`}`,
    'aria-describedby': `${common.id}-range`,
    step: row.integer ? 1 : 'any',
    inputmode: 'decimal',
  });
  const range = make('small', { id: `${common.id}-range`, class: 'range' });
  const show = (shown: number, from: 'slider' | 'number' | 'outside') => {
    if (from !== 'slider') slider.value = String(Math.round(STEPS * positionOfValue(row, shown, sampleRateHz)));
    if (from !== 'number') number.value = String(shown);
    slider.setAttribute('aria-valuetext', `${shown}${unit === '' ? '' : ` ${unit}`}`);
    number.removeAttribute('aria-invalid');
    range.textContent = '';
  };
  slider.addEventListener('input', () => {
    const chosen = readable(valueAtPosition(row, Number(slider.value) / STEPS, sampleRateHz), row);
    show(chosen, 'slider');
    onChange(name, chosen);
  });
  number.addEventListener('input', () => {
    const chosen = number.value === '' ? NaN : Number(number.value);
    if (allows(row, chosen, sampleRateHz)) {
      show(chosen, 'number');
      onChange(name, chosen);
    } else {
      number.setAttribute('aria-invalid', 'true');
      range.textContent = `${text} must be ${rangeOf(row)}.`;
    }
  });
  show(value, 'outside');
  return [slider, make('span', { class: 'number' }, number, ` ${unit}`), range];
}

/** Three digits are enough for a slider, if they stay within the range. */
function readable(value: number, row: NumberRow): number {
  const rounded = Number(value.toPrecision(3));
  const most = row.max === 'nyquist' ? value : row.max;
  return rounded < row.min ? row.min : rounded > most ? value : rounded;
}

function allows({ min, max, integer = false }: NumberRow, value: number, sampleRateHz: number): boolean {
  return (
    value >= min && value <= (max === 'nyquist' ? 0.49 * sampleRateHz : max) && (!integer || Number.isInteger(value))
  );
}

/** Descriptions are written for developers: names of parameters stand between backquotes. */
function plain(description: string): string {
  return description.replace(/`(\w+)`/g, (_, name: string) => nameAndUnit(name)[0]);
}
