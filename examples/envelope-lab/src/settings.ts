/**
 * Everything that can be chosen on the page, and how a link carries it:
 *
 *     #source=kit&microphone=snareTop&block=gate&thresholdDb=-32&holdMs=0
 *
 * What is left out has its default. A link may come from anywhere: what does not fit is named and left at its default.
 *
 * @module
 */
import type { ParameterRow, ParameterTable } from 'batterhead/core';
import { type SignalOptions, signalParameters } from './signals.ts';

/** What the lab can listen to. */
export const sourceNames = ['kit', 'step', 'burst', 'sine', 'file'] as const;

/** Single microphones of the simulated kit, and its pairs. */
export const microphoneChoices = [
  'kickIn',
  'kickOut',
  'snareTop',
  'snareBottom',
  'hat',
  'tom1',
  'tom2',
  'ride',
  'overheads',
  'rooms',
] as const;

/** Whether the input is added to the output of the block, and if so, delayed by its latency or not. */
export const dryChoices = ['none', 'inTime', 'early'] as const;

export type SourceName = (typeof sourceNames)[number];
export type MicrophoneChoice = (typeof microphoneChoices)[number];
export type DryChoice = (typeof dryChoices)[number];
export type BlockOptions = Readonly<Record<string, number | string | boolean>>;

/** A state of the page. */
export interface Settings {
  readonly source: SourceName;
  readonly microphone: MicrophoneChoice;
  readonly signal: SignalOptions;
  /** Name of a block type. */
  readonly block: string;
  /** Options that differ from their defaults. */
  readonly options: BlockOptions;
  readonly dry: DryChoice;
  /** Corner of the high-pass in front of the detector; 0 is none. */
  readonly keyHighpassHz: number;
}

/** Parameter of the detector's high-pass, of all blocks that can have one. */
export const keyHighpassRow = { default: 0, min: 0, max: 2000, taper: 'square' } as const satisfies ParameterRow;

/** How the page begins. */
export const defaultSettings: Settings = {
  source: 'kit',
  microphone: 'snareTop',
  signal: { levelDb: signalParameters.levelDb.default, frequencyHz: signalParameters.frequencyHz.default },
  block: 'compressor',
  options: {},
  dry: 'none',
  keyHighpassHz: keyHighpassRow.default,
};

/** What a page without a link begins with: more to see than the defaults show. */
export const firstSettings: Settings = { ...defaultSettings, options: { thresholdDb: -35 } };

/** Tables of the blocks by their names. */
export type BlockTables = Readonly<Record<string, ParameterTable>>;

/** The part of a link behind its #. */
export function toHash(settings: Settings): string {
  const { source, microphone, signal, block, options, dry, keyHighpassHz } = settings;
  const pairs = new URLSearchParams({ source });
  if (source === 'kit') pairs.set('microphone', microphone);
  if (source !== 'kit' && source !== 'file') {
    pairs.set('signalLevelDb', String(signal.levelDb));
    pairs.set('signalFrequencyHz', String(signal.frequencyHz));
  }
  pairs.set('block', block);
  if (dry !== defaultSettings.dry) pairs.set('dry', dry);
  if (keyHighpassHz !== defaultSettings.keyHighpassHz) pairs.set('keyHighpassHz', String(keyHighpassHz));
  for (const [name, value] of Object.entries(options)) pairs.set(name, String(value));
  return `#${pairs}`;
}

/** Reads a link; `faults` says in words what did not fit. */
export function fromHash(hash: string, tables: BlockTables): { settings: Settings; faults: string[] } {
  const pairs = new Map(new URLSearchParams(hash.replace(/^#/, '')));
  const faults: string[] = [];
  const take = (name: string, row: ParameterRow) => {
    const text = pairs.get(name);
    pairs.delete(name);
    if (text === undefined) return row.default;
    const value = valueOf(row, text);
    if (value === undefined) faults.push(`${name} must be ${rangeOf(row)}, got ${text}`);
    return value ?? row.default;
  };
  const choice = (name: keyof Settings, choices: readonly string[]) =>
    take(name, { default: defaultSettings[name] as string, choices });

  const source = choice('source', sourceNames) as SourceName;
  const microphone = choice('microphone', microphoneChoices) as MicrophoneChoice;
  const block = choice('block', Object.keys(tables)) as string;
  const dry = choice('dry', dryChoices) as DryChoice;
  const keyHighpassHz = take('keyHighpassHz', keyHighpassRow) as number;
  const signal = {
    levelDb: take('signalLevelDb', signalParameters.levelDb) as number,
    frequencyHz: take('signalFrequencyHz', signalParameters.frequencyHz) as number,
  };
  const table = tables[block];
  const options: Record<string, number | string | boolean> = {};
  for (const name of Object.keys(table)) {
    const value = take(name, table[name]);
    if (value !== table[name].default) options[name] = value;
  }
  for (const name of pairs.keys()) faults.push(`${name} is no parameter of the ${block}`);
  return { settings: { source, microphone, signal, block, options, dry, keyHighpassHz }, faults };
}

/** A value that a row allows, from its text. */
function valueOf(row: ParameterRow, text: string): number | string | boolean | undefined {
  if ('choices' in row) return row.choices.find((choice) => String(choice) === text);
  if (typeof row.default === 'boolean') return text === 'true' ? true : text === 'false' ? false : undefined;
  const { min, max, integer = false } = row;
  const value = text.trim() === '' ? NaN : Number(text);
  const most = max === 'nyquist' ? Infinity : max;
  return value >= min && value <= most && (!integer || Number.isInteger(value)) ? value : undefined;
}

/** What a row allows, in words. */
export function rangeOf(row: ParameterRow): string {
  if ('choices' in row) return row.choices.join(' or ');
  if (!('min' in row)) return 'true or false';
  const to = row.max === 'nyquist' ? '0.49 of the sample rate' : row.max;
  return `${row.integer ? 'a whole number from ' : ''}${row.min} to ${to}`;
}
