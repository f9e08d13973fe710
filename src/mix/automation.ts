/**
 * Automation: what a target path of a plan points at.
 *
 *     channels.snare.gainDb                  fader, pan or width of a strip
 *     channels.snare.sends[0].gainDb         level of a send
 *     buses.drums.chain[1].thresholdDb       parameter of a block
 *     buses.drums.chain[0].bands[2].gainDb   parameter of a band
 *     buses.drums.chain[1].bypassed          a block switched out or in
 *     buses.drums.chain[2].bands[1].chain[0].ratio    parameter of a block inside a split
 *
 * @module
 */
import { type BlockPlan, blockTypeOf, chainsOf } from '../blocks/block-plan.ts';
import { requireName } from '../core/json-check.ts';
import { type ParameterRow, type ParameterTable, requireAllowed, resolveParameters } from '../core/parameters.ts';
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
import type { StripEvent } from './strip.ts';

/** What a target path points at. */
export interface Target {
  /** Path of the strip. */
  readonly strip: string;
  readonly kind: 'fader' | 'send' | 'block';
  /** Which send or block. */
  readonly index: number;
  /** Where in that block a block inside a split stands: `bands[1].chain[0].`, or nothing. */
  readonly inside: string;
  /** Which band of the block, or -1. */
  readonly band: number;
  readonly name: string;
  /** Which values it takes. */
  readonly row: ParameterRow;
  /** The block that it is part of. */
  readonly block: BlockPlan | undefined;
}

/** A value that is due, and where. */
export interface TimedEvent {
  readonly target: Target;
  readonly event: StripEvent;
  /** Where the value stands in the plan, for messages. */
  readonly where: string;
}

const PATH =
  /^(mixBus|(?:channels|buses)\.[^.[\]]+)(?:\.(sends|chain)\[(\d+)\])?(?:\.bands\[(\d+)\]\.chain\[(\d+)\])?(?:\.bands\[(\d+)\])?\.([A-Za-z]+)$/;

/**
 * Automation of a plan in the order of its samples; of two at one sample, the later in the list comes later.
 *
 * @param automation - the plan's own unless given
 * @param whereOf - where an event stands, for messages
 * @throws TypeError or RangeError, with a path, for a target that {@link findTarget} refuses or a value that it cannot
 *   take, alone or together with the values that the block has then
 */
export function resolveAutomation(
  plan: MixPlan,
  sampleRateHz: number,
  automation = plan.automation,
  whereOf = (i: number): string => `automation[${i}]`,
): readonly TimedEvent[] {
  const events = automation
    .map(({ target: path, sample, value }, i): TimedEvent => {
      const target = findTarget(plan, path, `${whereOf(i)}.target`);
      const where = `${whereOf(i)}.value`;
      requireAllowed(where, target.row, value, sampleRateHz);
      return { target, event: { sample, ...addressOf(target), value }, where };
    })
    .sort((a, b) => a.event.sample - b.event.sample);
  requireTogether(events, sampleRateHz);
  return events;
}

/** How a running block is told which parameter is meant. */
function addressOf({ inside, band, name }: Target): { readonly name: string; readonly band: number } {
  if (inside === '') return { name, band };
  return { name: band < 0 ? `${inside}${name}` : `${inside}bands[${band}].${name}`, band: -1 };
}

/** Follows the parameters of each block through its events, and throws where they do not fit each other. */
function requireTogether(events: readonly TimedEvent[], sampleRateHz: number): void {
  const options = new Map<string, BlockPlan['options']>();
  for (const { target, event, where } of events) {
    const { block, strip, index, inside, band, name } = target;
    if (!block || band >= 0 || name === 'bypassed') continue;
    const type = blockTypeOf(block);
    const path = `${strip}.chain[${index}].${inside}`;
    const now = { ...(options.get(path) ?? block.options), [name]: event.value };
    options.set(path, now);
    const values = resolveParameters(path, type.parameters, now as object, sampleRateHz);
    type.requireTogether?.(`${where}: `, values, chainsOf(block).length);
  }
}

/**
 * Finds what `path` points at.
 *
 * @param where - where the path itself stands, for messages
 * @throws TypeError if there is no strip or parameter of that name, or the parameter is fixed; RangeError if there is no
 *   such send, block or band
 */
function findTarget(plan: MixPlan, path: string, where: string): Target {
  const match = PATH.exec(path);
  if (!match)
    throw new RangeError(`${where} must look like channels.NAME.chain[0].PARAMETER, got ${JSON.stringify(path)}`);
  const [, strip, list, indexText, splitText, innerText, bandText, name] = match;
  const index = Number(indexText ?? -1),
    band = Number(bandText ?? -1);
  const owner = ownerOf(plan, strip, where);
  const within = <E>(items: readonly E[], i: number, what: string, whose: string): E => {
    if (i < items.length) return items[i];
    throw new RangeError(`${where} must point at one of ${items.length} ${what} of ${whose}, got ${path}`);
  };
  const target = (kind: Target['kind'], table: ParameterTable, block?: BlockPlan): Target => {
    requireName(where, name, Object.keys(table));
    const row = table[name];
    if (row.fixed) throw new TypeError(`${where} must not point at ${name}, which is fixed at construction`);
    return { strip, kind, index, inside, band, name, row, block };
  };
  const inside = splitText === undefined ? '' : `bands[${splitText}].chain[${innerText}].`;
  const part = list === undefined ? strip : `${strip}.${list}[${index}]`;
  if (list === 'chain') {
    const outer = within(owner.chain, index, 'blocks', strip);
    const chain = inside === '' ? [] : within(chainsOf(outer), Number(splitText), 'bands', part);
    const block = inside === '' ? outer : within(chain, Number(innerText), 'blocks', `${part}.bands[${splitText}]`);
    if (band >= 0) {
      within(block.bands ?? [], band, 'bands', part);
      return target('block', equaliserBandParameters, block);
    }
    const { parameters } = blockTypeOf(block);
    const bypassed = block.bypassed === undefined ? {} : { bypassed: { default: false } };
    return target('block', { ...parameters, ...bypassed }, block);
  }
  if (list === 'sends') within<unknown>('sends' in owner ? owner.sends : [], index, 'sends', strip);
  if (band >= 0 || inside !== '') within([], Math.max(band, 0), 'bands', part);
  if (list === 'sends') return target('send', { gainDb: sendParameters.gainDb });
  return target('fader', strip === MIX_BUS ? mixBusParameters : stripParameters);
}

function ownerOf(plan: MixPlan, strip: string, where: string): BusPlan | MixBusPlan {
  if (strip === MIX_BUS) return plan.mixBus;
  const [group, name] = strip.split('.') as ['channels' | 'buses', string];
  requireName(where, name, Object.keys(plan[group]));
  return plan[group][name];
}
