/**
 * Automation: what a target path of a plan points at.
 *
 *     channels.snare.gainDb                  fader, pan or width of a strip
 *     channels.snare.sends[0].gainDb         level of a send
 *     buses.drums.chain[1].thresholdDb       parameter of a block
 *     buses.drums.chain[0].bands[2].gainDb   parameter of a band
 *     buses.drums.chain[1].bypassed          a block switched out or in
 *
 * @module
 */
import { blockTypeOf } from '../blocks/block-plan.ts';
import { requireName } from '../core/json-check.ts';
import { type ParameterRow, type ParameterTable, requireAllowed } from '../core/parameters.ts';
import { equaliserBandParameters } from '../filters/equaliser-bands.ts';
import {
  type BusPlan,
  MIX_BUS,
  type MixBusPlan,
  mixBusParameters,
  type MixPlan,
  sendParameters,
  stripParameters,
} from './plan.ts';

/** What a target path points at. */
export interface Target {
  /** Path of the strip. */
  readonly strip: string;
  readonly kind: 'fader' | 'send' | 'block';
  /** Which send or block. */
  readonly index: number;
  /** Which band of the block, or -1. */
  readonly band: number;
  readonly name: string;
  /** Throws unless the target can take this value. */
  check(value: unknown, where: string, sampleRateHz: number): void;
}

const PATH =
  /^(mixBus|(?:channels|buses)\.[A-Za-z][A-Za-z0-9_-]*)(?:\.(sends|chain)\[(\d+)\])?(?:\.bands\[(\d+)\])?\.([A-Za-z]+)$/;

/**
 * Finds what `path` points at.
 *
 * @param where - where the path itself stands, for messages
 * @throws RangeError if there is no such strip, send, block or band; TypeError if the parameter is unknown or fixed
 */
export function findTarget(plan: MixPlan, path: string, where: string): Target {
  const match = PATH.exec(path);
  if (!match)
    throw new RangeError(`${where} must look like channels.NAME.chain[0].PARAMETER, got ${JSON.stringify(path)}`);
  const [, strip, list, indexText, bandText, name] = match;
  const index = Number(indexText ?? -1),
    band = Number(bandText ?? -1);
  const owner = ownerOf(plan, strip, where);
  const within = <E>(items: readonly E[] | undefined, i: number, what: string): E => {
    if (items && i >= 0 && i < items.length) return items[i];
    throw new RangeError(`${where} must point at one of ${items?.length ?? 0} ${what} of ${strip}, got ${path}`);
  };
  const target = (kind: Target['kind'], table: ParameterTable): Target => ({
    strip,
    kind,
    index,
    band,
    name,
    check: checkOf(where, table, name),
  });
  if (list === 'sends') {
    within<unknown>('sends' in owner ? owner.sends : [], index, 'sends');
    return target('send', { gainDb: sendParameters.gainDb });
  }
  if (list === undefined) {
    if (band >= 0) within([], band, 'bands');
    return target('fader', strip === MIX_BUS ? mixBusParameters : stripParameters);
  }
  const block = within(owner.chain, index, 'blocks');
  if (band >= 0) {
    within(block.bands, band, 'bands');
    return target('block', equaliserBandParameters);
  }
  const { parameters } = blockTypeOf(block);
  return target('block', block.bypassed === undefined ? parameters : { ...parameters, bypassed: { default: false } });
}

function ownerOf(plan: MixPlan, strip: string, where: string): BusPlan | MixBusPlan {
  if (strip === MIX_BUS) return plan.mixBus;
  const [group, name] = strip.split('.') as ['channels' | 'buses', string];
  requireName(where, name, Object.keys(plan[group]));
  return plan[group][name];
}

function checkOf(where: string, table: ParameterTable, name: string): Target['check'] {
  requireName(where, name, Object.keys(table));
  const row: ParameterRow = table[name];
  if (row.fixed) throw new TypeError(`${where} must not point at ${name}, which is fixed at construction`);
  return (value, valueWhere, sampleRateHz) => {
    requireAllowed(valueWhere, row, value, sampleRateHz);
  };
}
