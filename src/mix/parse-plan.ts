/**
 * Reads a plan from parsed JSON, fills in what may be left out, and refuses the first fault by its path:
 *
 *     channels.snareTop.chain[2].attackMs must be 0 to 1000, got -3
 *
 * Ranges that depend on the sample rate are checked again when the inputs are known.
 *
 * @module
 */
import { parseBlock } from '../blocks/block-plan.ts';
import { refuse, requireInteger } from '../core/check.ts';
import {
  member,
  requireList,
  requireMembers,
  requireName,
  requireObject,
  requireText,
  split,
} from '../core/json-check.ts';
import { describe, type ParameterTable, type ParameterValues, resolveParameters } from '../core/parameters.ts';
import { NO_ALIGNMENT, parseAlignment } from './alignment-plan.ts';
import { resolveAutomation } from './automation.ts';
import { parseContext, parseReferences } from './comparison-plan.ts';
import {
  type AutomationPlan,
  type BusPlan,
  type ChannelPlan,
  type InputPlan,
  LOWEST_GUARD_HZ,
  MIX_BUS,
  mixBusParameters,
  type MixPlan,
  NAME,
  outputParameters,
  type OutputPlan,
  PLAN_VERSION,
  planParameters,
  sendParameters,
  type SendPlan,
  stripParameters,
} from './plan.ts';
import { requireHitKeys } from './hit-keys.ts';
import { parseHitsPlan } from './hits-plan.ts';
import { requireNoLoop } from './plan-strips.ts';

/** Highest sample rate of all: what a plan may ask for before the inputs are known. */
const ANY_RATE_HZ = 384_000;

/**
 * Reads and validates a plan.
 *
 * @param json - a parsed JSON value
 * @throws TypeError for what has the wrong type or an unknown name, RangeError for a value, each with its path
 */
export function parsePlan(json: unknown): MixPlan {
  const plan = requireObject('plan', json);
  const [own, rest] = split(plan, Object.keys(planParameters));
  requireMembers('', rest, [
    '$schema',
    'version',
    'inputs',
    'alignment',
    'channels',
    'buses',
    'mixBus',
    'automation',
    'hits',
    'references',
    'context',
    'output',
    ...Object.keys(planParameters),
  ]);
  if (plan.version !== PLAN_VERSION) {
    throw new RangeError(`version must be ${PLAN_VERSION}, got ${describe(plan.version)}`);
  }
  const inputs = entries('inputs', plan.inputs, parseInput);
  const channels = requireObject('channels', plan.channels);
  if (Object.keys(channels).length === 0) throw new RangeError('channels must hold at least one channel');
  const buses = requireObject('buses', plan.buses ?? {});
  for (const name of Object.keys(buses)) {
    if (Object.hasOwn(channels, name)) throw new RangeError(`buses.${name} must have a name that no channel has`);
  }
  const names: Names = {
    inputs: Object.keys(inputs),
    strips: [...Object.keys(channels), ...Object.keys(buses)],
    destinations: [...Object.keys(buses), MIX_BUS],
  };
  const parsed: MixPlan = {
    version: PLAN_VERSION,
    ...values('', planParameters, own),
    inputs,
    alignment: plan.alignment === undefined ? NO_ALIGNMENT : parseAlignment(plan.alignment, names.inputs, ANY_RATE_HZ),
    channels: entries('channels', channels, (path, value) => parseChannel(path, value, names)),
    buses: entries('buses', buses, (path, value) => parseBus(path, requireObject(path, value), [], names)),
    mixBus: parseMixBus(plan.mixBus ?? {}, names),
    automation: requireList('automation', plan.automation ?? []).map((event, i) =>
      parseAutomation(`automation[${i}]`, event),
    ),
    ...(plan.hits !== undefined && { hits: parseHitsPlan(plan.hits, names.inputs, ANY_RATE_HZ) }),
    references: parseReferences(plan.references ?? [], ANY_RATE_HZ),
    context: entries('context', plan.context ?? {}, (path, stem) => parseContext(path, stem, ANY_RATE_HZ)),
    output: parseOutput(plan.output),
  };
  requireHitKeys(parsed);
  requireNoLoop(parsed);
  resolveAutomation(parsed, ANY_RATE_HZ);
  return parsed;
}

interface Names {
  readonly inputs: readonly string[];
  readonly strips: readonly string[];
  readonly destinations: readonly string[];
}

function parseInput(path: string, value: unknown): InputPlan {
  const input = requireObject(path, value);
  requireMembers(path, input, ['file', 'channel', 'role']);
  return {
    file: requireText(`${path}.file`, input.file),
    ...(input.channel !== undefined && { channel: requireInteger(`${path}.channel`, input.channel, 0, 63) }),
    ...(input.role !== undefined && { role: requireText(`${path}.role`, input.role) }),
  };
}

function parseChannel(path: string, value: unknown, names: Names): ChannelPlan {
  const channel = requireObject(path, value);
  return {
    input: requireName(`${path}.input`, channel.input, names.inputs),
    ...parseBus(path, channel, ['input'], names),
  };
}

function parseBus(path: string, bus: Record<string, unknown>, more: readonly string[], names: Names): BusPlan {
  const [own, rest] = split(bus, Object.keys(stripParameters));
  requireMembers(path, rest, [...more, 'chain', 'output', 'sends', ...Object.keys(stripParameters)]);
  return {
    ...values(path, stripParameters, own),
    chain: parseChain(path, bus.chain, names),
    output: bus.output === undefined ? MIX_BUS : requireName(`${path}.output`, bus.output, names.destinations),
    sends: requireList(`${path}.sends`, bus.sends ?? []).map((send, i) =>
      parseSend(`${path}.sends[${i}]`, send, names),
    ),
  };
}

function parseSend(path: string, value: unknown, names: Names): SendPlan {
  const send = requireObject(path, value);
  const [own, rest] = split(send, Object.keys(sendParameters));
  requireMembers(path, rest, ['to', ...Object.keys(sendParameters)]);
  const parsed = { to: requireName(`${path}.to`, send.to, names.destinations), ...values(path, sendParameters, own) };
  const { highpassHz } = parsed;
  if (highpassHz > 0 && highpassHz < LOWEST_GUARD_HZ) {
    refuse(`${path}.highpassHz`, `0, which passes everything, or at least ${LOWEST_GUARD_HZ}`, highpassHz);
  }
  return parsed;
}

function parseMixBus(value: unknown, names: Names): MixPlan['mixBus'] {
  const bus = requireObject(MIX_BUS, value);
  const [own, rest] = split(bus, Object.keys(mixBusParameters));
  requireMembers(MIX_BUS, rest, ['chain', ...Object.keys(mixBusParameters)]);
  return { ...values(MIX_BUS, mixBusParameters, own), chain: parseChain(MIX_BUS, bus.chain, names) };
}

function parseChain(path: string, value: unknown, names: Names): BusPlan['chain'] {
  return requireList(`${path}.chain`, value ?? []).map((block, i) =>
    parseBlock(`${path}.chain[${i}]`, block, names.strips, ANY_RATE_HZ, names.inputs),
  );
}

function parseOutput(value: unknown): OutputPlan {
  const output = requireObject('output', value);
  const [own, rest] = split(output, Object.keys(outputParameters));
  requireMembers('output', rest, ['file', ...Object.keys(outputParameters)]);
  return { file: requireText('output.file', output.file), ...values('output', outputParameters, own) };
}

/** An event whose target and value are still to be checked against the plan. */
function parseAutomation(path: string, value: unknown): AutomationPlan {
  const event = requireObject(path, value);
  requireMembers(path, event, ['target', 'sample', 'value']);
  return {
    target: requireText(`${path}.target`, event.target),
    sample: requireInteger(`${path}.sample`, event.sample, 0, Number.MAX_SAFE_INTEGER),
    value: event.value as AutomationPlan['value'],
  };
}

function values<T extends ParameterTable>(path: string, table: T, own: object): ParameterValues<T> {
  return resolveParameters(path === '' ? '' : `${path}.`, table, own, ANY_RATE_HZ);
}

function entries<V>(path: string, value: unknown, parse: (path: string, value: unknown) => V): Record<string, V> {
  return Object.fromEntries(
    Object.entries(requireObject(path, value)).map(([name, entry]) => {
      if (!NAME.test(name) || name === MIX_BUS) {
        throw new RangeError(
          `${path} must have names of letters, digits, - and _ (not ${MIX_BUS}), got ${describe(name)}`,
        );
      }
      return [name, parse(member(path, name), entry)];
    }),
  );
}
