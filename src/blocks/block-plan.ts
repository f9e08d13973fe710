/**
 * A block as a plan writes it: its type, its parameters, and what does not fit a parameter table.
 *
 *     { "type": "compressor", "thresholdDb": -18, "ratio": 4, "key": "kick", "keyFilter": [{ "type": "highpass" }] }
 *     { "type": "bandSplit", "firstHz": 200, "bands": [{ "chain": [{ "type": "compressor" }] }, { "chain": [] }] }
 *
 * The blocks inside a split have no key, no bypass and no split of their own.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import {
  member,
  requireList,
  requireMembers,
  requireName,
  requireObject,
  requireText,
  split,
} from '../core/json-check.ts';
import { requireAllowed, resolveParameters } from '../core/parameters.ts';
import { type EqualiserBandOptions, equaliserBandParameters, requireOrderFits } from '../filters/equaliser-bands.ts';
import { type HitKeyOptions, hitKeyParameters } from '../hits/hit-key.ts';
import { type BlockType, blockTypes } from './block-types.ts';

/** The hits of a drum as a key. */
export interface HitKeyPlan {
  /** Name of a drum of the plan's hits. */
  readonly drum: string;
  /** Shape of the key. */
  readonly options: HitKeyOptions;
}

/** A validated block of a chain. */
export interface BlockPlan {
  /** Name of a block type. */
  readonly type: string;
  /** Parameters, as far as they were given. */
  readonly options: Readonly<Record<string, number | string | boolean>>;
  /** Bands of an equaliser. */
  readonly bands?: readonly EqualiserBandOptions[];
  /** Blocks of each band of a split. */
  readonly chains?: readonly (readonly BlockPlan[])[];
  /** Name of the channel or bus to listen to. */
  readonly key?: string;
  /** Hits to listen to, in place of a channel or bus. */
  readonly hitKey?: HitKeyPlan;
  /** What the key, or the input in its place, passes before the detector. */
  readonly keyFilter?: readonly EqualiserBandOptions[];
  /** Name of the input that holds the impulse response. */
  readonly impulse?: string;
  /** Whether the block is switched out at the start; only a block that says so can be switched later. */
  readonly bypassed?: boolean;
}

/** The type of a block plan. */
export function blockTypeOf(block: BlockPlan): BlockType {
  return blockTypes[block.type];
}

/** The chains of a split's bands, two empty ones unless given; none for other blocks. */
export function chainsOf(block: BlockPlan): readonly (readonly BlockPlan[])[] {
  return block.chains ?? (blockTypeOf(block).takesChains ? [[], []] : []);
}

/**
 * Reads and validates a block.
 *
 * @param path - where it stands in the plan
 * @param keys - names that a key may have
 * @param inputs - names that an impulse response may have
 * @throws TypeError or RangeError with the path of the first fault
 */
export function parseBlock(
  path: string,
  value: unknown,
  keys: readonly string[],
  sampleRateHz: number,
  inputs: readonly string[] = [],
): BlockPlan {
  const block = requireObject(path, value);
  const type = requireName(`${path}.type`, block.type, Object.keys(blockTypes));
  const { parameters, takesKey, takesBands, takesChains = false, takesImpulse = false } = blockTypes[type];
  const [options, rest] = split(block, Object.keys(parameters));
  const besides = [
    'type',
    'bypassed',
    ...(takesBands || takesChains ? ['bands'] : []),
    ...(takesKey ? ['key', 'keyFilter'] : []),
    ...(takesImpulse ? ['impulse'] : []),
  ];
  requireMembers(path, rest, [...besides, ...Object.keys(parameters)]);
  if (block.bypassed !== undefined)
    requireAllowed(`${path}.bypassed`, { default: false }, block.bypassed, sampleRateHz);
  const bands = (name: 'bands' | 'keyFilter') =>
    requireList(member(path, name), block[name]).map(
      (band, i) => requireObject(`${path}.${name}[${i}]`, band) as EqualiserBandOptions,
    );
  const parsed: BlockPlan = {
    type,
    options: options as BlockPlan['options'],
    ...(takesBands && { bands: bands('bands') }),
    ...(takesChains &&
      block.bands !== undefined && { chains: parseChains(`${path}.bands`, block.bands, sampleRateHz) }),
    ...parseKey(`${path}.key`, block.key, keys, sampleRateHz),
    ...(block.keyFilter !== undefined && { keyFilter: bands('keyFilter') }),
    ...(takesImpulse && { impulse: requireName(`${path}.impulse`, block.impulse, inputs) }),
    ...(block.bypassed !== undefined && { bypassed: block.bypassed as boolean }),
  };
  checkBlock(path, parsed, sampleRateHz);
  return parsed;
}

/** What a block listens to: `"kick"`, a channel or bus, or `{ "hits": "kick", "decayMs": 300 }`. */
function parseKey(
  path: string,
  value: unknown,
  keys: readonly string[],
  sampleRateHz: number,
): Pick<BlockPlan, 'key' | 'hitKey'> {
  if (value === undefined) return {};
  if (typeof value !== 'object') return { key: requireName(path, value, keys) };
  const [{ hits }, options] = split(requireObject(path, value), ['hits']);
  resolveParameters(`${path}.`, hitKeyParameters, options as HitKeyOptions, sampleRateHz);
  return { hitKey: { drum: requireText(`${path}.hits`, hits), options: options } };
}

/** Throws unless the parameters of the block are in range, at this sample rate, and fit each other. */
export function checkBlock(path: string, block: BlockPlan, sampleRateHz: number): void {
  const type = blockTypeOf(block);
  const values = resolveParameters(`${path}.`, type.parameters, block.options as object, sampleRateHz);
  type.requireTogether?.(`${path}.`, values, chainsOf(block).length);
  chainsOf(block).forEach((chain, b) => {
    chain.forEach((inner, i) => {
      checkBlock(`${path}.bands[${b}].chain[${i}]`, inner, sampleRateHz);
    });
  });
  const { bands = [], keyFilter = [] } = block;
  bands.forEach((band, i) => {
    checkBand(`${path}.bands[${i}].`, band, sampleRateHz);
  });
  keyFilter.forEach((band, i) => {
    checkBand(`${path}.keyFilter[${i}].`, band, sampleRateHz);
  });
}

/** The bands of a split. */
function parseChains(path: string, value: unknown, sampleRateHz: number): NonNullable<BlockPlan['chains']> {
  const bands = requireList(path, value);
  requireInteger(`${path}: number of bands`, bands.length, 2, 4);
  return bands.map((band, b) => {
    const at = `${path}[${b}]`;
    const json = requireObject(at, band);
    requireMembers(at, json, ['chain']);
    return requireList(`${at}.chain`, json.chain ?? []).map((inner, i) =>
      parseInside(`${at}.chain[${i}]`, inner, sampleRateHz),
    );
  });
}

/** A block inside a band. */
function parseInside(path: string, value: unknown, sampleRateHz: number): BlockPlan {
  const json = requireObject(path, value);
  for (const name of ['key', 'bypassed']) {
    if (name in json) throw new TypeError(`${path}.${name} must not be given inside a band`);
  }
  const block = parseBlock(path, json, [], sampleRateHz);
  if (blockTypeOf(block).takesChains) throw new TypeError(`${path}.type must not be ${block.type} inside a band`);
  return block;
}

function checkBand(prefix: string, band: EqualiserBandOptions, sampleRateHz: number): void {
  requireOrderFits(prefix, resolveParameters(prefix, equaliserBandParameters, band, sampleRateHz));
}
