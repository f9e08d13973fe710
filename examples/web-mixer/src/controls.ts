/**
 * Sliders and boxes of a strip: its fader, pan and sends, and the parameters of its blocks from their tables.
 * @module
 */
import { blockTypes } from 'batterhead/blocks';
import { type NumberRow, type ParameterTable, positionOfValue, valueAtPosition } from 'batterhead/core';
import { equaliserBandParameters } from 'batterhead/filters';
import { make, nameAndUnit } from './dom.ts';
import type { BlockJson, NamedStrip } from './plan.ts';
import { SAMPLE_RATE_HZ } from './session.ts';

/** Called with the path of what changes. */
export type OnChange = (target: string, value: number | boolean) => void;

/** Steps of a slider over its whole travel. */
const STEPS = 240;

/** Travel of faders and sends, narrower than what a plan may have. */
const FADER: NumberRow = { default: 0, min: -60, max: 12 };
const PAN: NumberRow = { default: 0, min: -1, max: 1 };

export const faderOf = ({ path, name, strip }: NamedStrip, onChange: OnChange): HTMLElement =>
  slider(`Fader of ${name}`, `${path}.gainDb`, FADER, strip.gainDb ?? 0, onChange);

export const panOf = ({ path, name, strip }: NamedStrip, onChange: OnChange): HTMLElement =>
  slider(`Pan of ${name}`, `${path}.pan`, PAN, strip.pan ?? 0, onChange);

/** A slider for each send. */
export function sendsOf({ path, name, strip }: NamedStrip, onChange: OnChange): HTMLElement[] {
  return (strip.sends ?? []).map(({ to, gainDb = 0 }, s) =>
    make(
      'div',
      { class: 'send' },
      `send to ${to} `,
      slider(`Send of ${name} to ${to}`, `${path}.sends[${s}].gainDb`, FADER, gainDb, onChange),
    ),
  );
}

/** The blocks of a strip, made when they are looked at. */
export function blocksOf({ path, name, strip }: NamedStrip, onChange: OnChange): HTMLElement | string {
  const chain = strip.chain ?? [];
  if (chain.length === 0) return 'none';
  const summary = make('summary', {}, chain.map(({ type }) => nameAndUnit(type)[0]).join(', '));
  const details = make('details', {}, summary);
  details.addEventListener(
    'toggle',
    () => details.append(...chain.map((block, b) => blockControls(`${path}.chain[${b}]`, name, block, onChange))),
    { once: true },
  );
  return details;
}

function blockControls(path: string, strip: string, block: BlockJson, onChange: OnChange): HTMLElement {
  const type = nameAndUnit(block.type)[0];
  const box = make('input', { type: 'checkbox', checked: block.bypassed !== true });
  box.addEventListener('change', () => onChange(`${path}.bypassed`, !box.checked));
  const key = block.key === undefined ? [] : [make('p', {}, `Listens to ${block.key}.`)];
  const bands = block.type === 'equaliser' ? (block.bands as Record<string, unknown>[]) : [];
  return make(
    'fieldset',
    {},
    make('legend', {}, `${type} of ${strip}`),
    make('label', {}, box, ' on'),
    ...key,
    ...parameters(`${path}.`, blockTypes[block.type].parameters, block, onChange),
    ...bands.map((band, i) =>
      make(
        'fieldset',
        {},
        make('legend', {}, `band ${i + 1}, ${nameAndUnit(String(band.type))[0]}`),
        ...parameters(`${path}.bands[${i}].`, bandTable(String(band.type)), band, onChange),
      ),
    ),
  );
}

/** What a band of a type makes use of. */
function bandTable(type: string): ParameterTable {
  const { gainDb, ...others } = equaliserBandParameters;
  return ['peaking', 'lowShelf', 'highShelf'].includes(type) ? { ...others, gainDb } : others;
}

/** A slider for each number that may change while it sounds. */
function parameters(
  path: string,
  table: ParameterTable,
  values: Readonly<Record<string, unknown>>,
  onChange: OnChange,
): HTMLElement[] {
  return Object.entries(table).flatMap(([name, row]) => {
    if (!('min' in row) || row.fixed) return [];
    const value = values[name] ?? row.default;
    const [words, unit] = nameAndUnit(name);
    const label = `${words}${unit === '' ? '' : `, ${unit}`}`;
    return [
      make('div', { class: 'parameter' }, `${label} `, slider(label, `${path}${name}`, row, Number(value), onChange)),
    ];
  });
}

function slider(label: string, target: string, row: NumberRow, value: number, onChange: OnChange): HTMLElement {
  const input = make('input', {
    type: 'range',
    min: 0,
    max: STEPS,
    value: Math.round(STEPS * positionOfValue(row, value, SAMPLE_RATE_HZ)),
    'aria-label': label,
    'data-target': target,
  });
  const output = make('output', {});
  const show = (shown: number) => {
    output.value = String(Number(shown.toPrecision(3)));
    input.setAttribute('aria-valuetext', output.value);
  };
  show(value);
  input.addEventListener('input', () => {
    const exact = valueAtPosition(row, input.valueAsNumber / STEPS, SAMPLE_RATE_HZ);
    const taken = row.integer ? Math.round(exact) : Number(exact.toPrecision(4));
    show(taken);
    onChange(target, taken);
  });
  return make('span', { class: 'slider' }, input, output);
}
