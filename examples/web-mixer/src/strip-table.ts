/**
 * The table of strips: a row for each, with its meters, its controls, where it goes and when it arrives there.
 * @module
 */
import type { MixerMeters } from 'batterhead/worklet';
import { blocksOf, faderOf, type OnChange, panOf, sendsOf } from './controls.ts';
import { decibels, make } from './dom.ts';
import { type PlanJson, stripsOf } from './plan.ts';
import { SAMPLE_RATE_HZ } from './session.ts';

const COLUMNS = ['Strip', 'Level', 'Dynamics', 'Fader, dB', 'Pan', 'Goes to', 'Latency', 'Blocks'];
/** Range of the bars. */
const LOWEST_DB = -60;

interface Bar {
  show(db: number): void;
}

/** The rows, and how their figures are changed. */
export interface StripTable {
  readonly element: HTMLElement;
  /** Shows meter values; `undefined` for silence. */
  meter(meters: MixerMeters | undefined): void;
  /** Shows by how much each strip is late, which all paths are delayed to meet. */
  timing(endSamples: Readonly<Record<string, number>>): void;
}

/** Makes the table of a plan. */
export function stripTable(plan: PlanJson, onChange: OnChange): StripTable {
  const rows = stripsOf(plan).map((named) => {
    const { path, name, strip } = named;
    const level = bar(`Level of ${name}`, LOWEST_DB, 0);
    const dynamics = bar(`Gain of the dynamics of ${name}`, 0, 30);
    const late = make('span', { class: 'time' }, '-');
    const role = strip.input === undefined ? '' : (plan.inputs[strip.input].role ?? '');
    const cells = [
      [level.element],
      [dynamics.element],
      [faderOf(named, onChange)],
      path === 'mixBus' ? ['-'] : [panOf(named, onChange)],
      [make('span', {}, path === 'mixBus' ? 'loudspeakers' : (strip.output ?? 'mix bus')), ...sendsOf(named, onChange)],
      [late],
      [blocksOf(named, onChange)],
    ];
    const heading = make('th', { scope: 'row', role: 'rowheader' }, name, make('small', {}, role));
    const element = make(
      'tr',
      { role: 'row' },
      heading,
      ...cells.map((content, c) => make('td', { role: 'cell', 'data-column': COLUMNS[c + 1] }, ...content)),
    );
    return { path, element, level, dynamics, late };
  });
  const head = make(
    'tr',
    { role: 'row' },
    ...COLUMNS.map((column) => make('th', { scope: 'col', role: 'columnheader' }, column)),
  );
  const element = make(
    'table',
    { role: 'table', 'aria-label': 'Strips' },
    make('thead', { role: 'rowgroup' }, head),
    make('tbody', { role: 'rowgroup' }, ...rows.map((row) => row.element)),
  );
  return {
    element,
    meter: (meters) => {
      for (const { path, level, dynamics } of rows) {
        const values = meters?.strips[path];
        level.show(values ? 20 * Math.log10(values.peak) : -Infinity);
        dynamics.show((values?.blocks ?? []).reduce((sum, { gainDb }) => sum + gainDb, 0));
      }
    },
    timing: (endSamples) => {
      for (const { path, late } of rows) {
        if (path in endSamples) late.textContent = `${((1000 * endSamples[path]) / SAMPLE_RATE_HZ).toFixed(2)} ms`;
      }
    },
  };
}

/** A bar with its number. A range from 0 on shows how far a gain has gone down. */
function bar(label: string, min: number, max: number): Bar & { readonly element: HTMLElement } {
  const meter = make('meter', { min, max, value: min, 'aria-label': label });
  const text = make('span', { class: 'number' }, '-');
  return {
    element: make('span', { class: 'bar' }, meter, text),
    show: (db) => {
      const shown = min === 0 ? -db : db;
      meter.value = Math.min(max, Math.max(min, shown));
      text.textContent = min === 0 ? `${(Math.round(10 * db) / 10 || 0).toFixed(1)} dB` : decibels(db);
    },
  };
}
