/**
 * A block of a chain in words: what it is set to, and what it listens to.
 *
 *     threshold -30 dB, hold 60 ms; listens to kick through lowpass frequency 120 Hz
 *
 * @module
 */
import type { BlockPlan } from '../blocks/block-plan.ts';
import { blockTypes } from '../blocks/block-types.ts';
import type { BlockReport } from '../mix/strip-report.ts';
import { parameterText, shortNumber } from './figure.ts';

type Values = Readonly<Record<string, unknown>>;

/** What somebody has set: parameters that are not at their default, bands, and the key. */
export function settingsText(block: BlockReport): string {
  const { parameters } = blockTypes[block.type];
  const set = Object.entries(block.values).filter(([name, value]) => value !== defaultOf(parameters, name));
  return besides(block, listOf(Object.fromEntries(set)));
}

/** What is at its default. */
export function defaultsText({ type, values }: BlockReport): string {
  const { parameters } = blockTypes[type];
  const rest = Object.entries(values).filter(([name, value]) => value === defaultOf(parameters, name));
  return listOf(Object.fromEntries(rest));
}

function defaultOf(parameters: (typeof blockTypes)[string]['parameters'], name: string): unknown {
  return Object.hasOwn(parameters, name) ? parameters[name].default : undefined;
}

/** The words of a block's parameters, and whatever else it has. */
function besides(block: Omit<BlockPlan, 'options'>, parameters: string): string {
  const { bands, chains, key, hitKey, keyFilter, impulse, bypassed } = block;
  const source = key ?? (hitKey && `the hits of ${hitKey.drum}`);
  const through = keyFilter && keyFilter.length > 0 ? ` through ${bandsText(keyFilter)}` : '';
  return [
    bypassed === true ? 'switched out' : '',
    parameters,
    bands ? bandsText(bands) : '',
    ...(chains ?? []).map((chain, b) => `band ${b + 1}: ${chain.map(insideText).join(' > ') || 'nothing'}`),
    source !== undefined || through !== '' ? `listens to ${source ?? 'itself'}${through}` : '',
    impulse === undefined ? '' : `impulse response ${impulse}`,
  ]
    .filter((text) => text !== '')
    .join('; ');
}

function insideText(block: BlockPlan): string {
  const text = besides(block, listOf(block.options));
  return text === '' ? block.type : `${block.type} (${text})`;
}

function bandsText(bands: readonly object[]): string {
  if (bands.length === 0) return 'no band';
  return bands
    .map((band) => {
      const { type = 'peaking', frequencyHz, ...rest } = band as Values;
      const place = frequencyHz === undefined ? '' : `${shortNumber(Number(frequencyHz))} Hz`;
      return [String(type), place, listOf(rest)].filter((text) => text !== '').join(' ');
    })
    .join('; ');
}

function listOf(values: Values): string {
  return Object.entries(values)
    .map(([name, value]) => parameterText(name, value as number))
    .join(', ');
}
