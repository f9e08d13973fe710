/**
 * Mixer: makes the running strips that a plan describes, connected and timed.
 * @module
 */
import { checkBlock } from '../blocks/block-plan.ts';
import { createBlock, type RunningBlock } from '../blocks/create-block.ts';
import { resolveParameters } from '../core/parameters.ts';
import { findTarget, type Target } from './automation.ts';
import { InputReader, type MixInput } from './input-reader.ts';
import { KeyTap } from './key-tap.ts';
import { Path } from './path.ts';
import { type BusPlan, MIX_BUS, type MixPlan, stripParameters } from './plan.ts';
import { route, type RoutedStrip, type Timing, total } from './routing.ts';
import { type Fader, pathMatrix, Strip, type StripBlock, type StripEvent, type StripPath } from './strip.ts';

/** A strip with what the renderer must know of it. */
export interface MixerStrip {
  /** `channels.snare`, `buses.drums` or `mixBus`. */
  readonly path: string;
  readonly strip: Strip;
  readonly timing: Timing;
  /** What a channel reads; undefined for buses. */
  readonly reader: InputReader | undefined;
  /** How long the strip sounds after the inputs' end, its latency not counted, in samples. */
  readonly tailSamples: number;
}

/** A mix ready to run. */
export interface Mixer {
  /** In an order in which each strip comes after all it hears; the mix bus is the last one that matters. */
  readonly strips: readonly MixerStrip[];
  /** Left and right of the mix, a chunk long. */
  readonly output: readonly Float64Array[];
  readonly latencySamples: number;
  readonly tailSamples: number;
}

interface Node {
  readonly path: string;
  readonly plan: BusPlan;
  readonly reader: InputReader | undefined;
  readonly buffers: readonly Float64Array[];
  readonly blocks: readonly RunningBlock[];
}

interface TimedEvent {
  readonly target: Target;
  readonly event: StripEvent;
}

/** Name of the place behind the mix bus. */
const OUTPUT = 'output';

/**
 * Makes the mixer for a plan.
 *
 * @throws RangeError, with a path, if an input has another sample rate or too many channels, or the routing has a loop
 */
export function createMixer(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  sampleRateHz: number,
  chunkFrames: number,
): Mixer {
  const nodes = createNodes(plan, inputs, sampleRateHz, chunkFrames);
  const timings = route([...nodes.values()].map((node) => routed(plan, node)));
  const events = sortEvents(plan, sampleRateHz);
  const output = [new Float64Array(chunkFrames), new Float64Array(chunkFrames)];
  const tails = new Map<string, number>();

  const strips = [...timings].map(([path, timing]): MixerStrip => {
    const node = nodes.get(path) as Node;
    const own = events.filter(({ target }) => target.strip === path);
    const fader: Fader = { ...node.plan, sendsDb: node.plan.sends.map(({ gainDb }) => gainDb) };
    const strip = new Strip({
      buffers: node.buffers,
      blocks: connectBlocks(plan, node, nodes, timings, own),
      paths: connectPaths(plan, node, nodes, timings, fader, output, sampleRateHz),
      fader,
      faderTime: timing.end,
      faderEvents: own
        .filter(({ target }) => target.kind !== 'block')
        .map(({ event, target }) => ({ ...event, send: target.kind === 'send' ? target.index : -1 })),
      law: plan.panLaw,
    });
    const heard = [...nodes.values()].filter((source) => destinations(plan, source).includes(path));
    const tailSamples =
      Math.max(0, ...heard.map((source) => tails.get(source.path) as number)) +
      total(node.blocks.map(({ processor }) => processor.tailSamples));
    tails.set(path, tailSamples);
    return { path, strip, timing, reader: node.reader, tailSamples };
  });
  const { end } = timings.get(MIX_BUS) as Timing;
  return { strips, output, latencySamples: end, tailSamples: tails.get(MIX_BUS) as number };
}

/** The strips with their processors, not yet connected. */
function createNodes(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  sampleRateHz: number,
  chunkFrames: number,
): ReadonlyMap<string, Node> {
  const readers = new Map<string, InputReader>();
  for (const [name, { input }] of Object.entries(plan.channels)) {
    const source = inputs[input];
    if (source.sampleRateHz !== sampleRateHz) {
      throw new RangeError(
        `inputs.${input}: the file must have ${sampleRateHz} Hz, as the other inputs have, got ${source.sampleRateHz} Hz`,
      );
    }
    readers.set(
      `channels.${name}`,
      new InputReader(`inputs.${input}`, source, plan.inputs[input].channel, chunkFrames),
    );
  }
  const mixBus: BusPlan = {
    ...resolveParameters('', stripParameters, { gainDb: plan.mixBus.gainDb }, sampleRateHz),
    chain: plan.mixBus.chain,
    output: OUTPUT,
    sends: [],
  };
  const plans: [string, BusPlan][] = [
    ...Object.entries(plan.channels).map(([name, strip]): [string, BusPlan] => [`channels.${name}`, strip]),
    ...Object.entries(plan.buses).map(([name, strip]): [string, BusPlan] => [`buses.${name}`, strip]),
    [MIX_BUS, mixBus],
  ];
  const channelsOf = (path: string) => readers.get(path)?.channels ?? 2;
  return new Map(
    plans.map(([path, strip]): [string, Node] => {
      const format = { sampleRateHz, channels: channelsOf(path) };
      const blocks = strip.chain.map((block, b) => {
        checkBlock(`${path}.chain[${b}]`, block, sampleRateHz);
        return createBlock(block, format, block.key === undefined ? undefined : channelsOf(stripPath(plan, block.key)));
      });
      const buffers = Array.from({ length: format.channels }, () => new Float64Array(chunkFrames));
      return [path, { path, plan: strip, reader: readers.get(path), buffers, blocks }];
    }),
  );
}

function routed(plan: MixPlan, node: Node): RoutedStrip {
  const { path } = node;
  const places = [`${path}.output`, ...node.plan.sends.map((_, s) => `${path}.sends[${s}].to`)];
  return {
    path,
    latencies: node.blocks.map(({ processor }) => processor.latencySamples),
    feeds: destinations(plan, node).map((to, d) => ({ to, where: places[d] })),
    keys: node.plan.chain.flatMap(({ key }, block) =>
      key === undefined ? [] : [{ block, from: stripPath(plan, key), where: `${path}.chain[${block}].key` }],
    ),
  };
}

function connectBlocks(
  plan: MixPlan,
  node: Node,
  nodes: ReadonlyMap<string, Node>,
  timings: ReadonlyMap<string, Timing>,
  events: readonly TimedEvent[],
): readonly StripBlock[] {
  let time = (timings.get(node.path) as Timing).start;
  return node.blocks.map((block, b): StripBlock => {
    const { key } = node.plan.chain[b];
    const from = key === undefined ? undefined : stripPath(plan, key);
    const connected = {
      block,
      key: from && new KeyTap((nodes.get(from) as Node).buffers, time - (timings.get(from) as Timing).end),
      time,
      events: events.filter(({ target }) => target.kind === 'block' && target.index === b).map(({ event }) => event),
    };
    time += block.processor.latencySamples;
    return connected as StripBlock;
  });
}

function connectPaths(
  plan: MixPlan,
  node: Node,
  nodes: ReadonlyMap<string, Node>,
  timings: ReadonlyMap<string, Timing>,
  fader: Fader,
  output: readonly Float64Array[],
  sampleRateHz: number,
): readonly StripPath[] {
  const { end } = timings.get(node.path) as Timing;
  return destinations(plan, node).map((to, d): StripPath => {
    const send = d - 1;
    const tap = send < 0 ? 'postFader' : node.plan.sends[send].tap;
    const matrix = pathMatrix(node.buffers.length, fader, send, tap, plan.panLaw);
    const delay = to === OUTPUT ? 0 : (timings.get(to) as Timing).start - end;
    const target = to === OUTPUT ? output : (nodes.get(to) as Node).buffers;
    return { path: new Path(matrix, delay, sampleRateHz), to: target, send, tap };
  });
}

/** Where a strip's signal goes: its output, then its sends. */
function destinations(plan: MixPlan, node: Node): readonly string[] {
  const places = [node.plan.output, ...node.plan.sends.map(({ to }) => to)];
  return places.map((to) => (to === OUTPUT ? OUTPUT : stripPath(plan, to)));
}

/** The path of the strip with this name. */
function stripPath(plan: MixPlan, name: string): string {
  if (name === MIX_BUS) return MIX_BUS;
  return Object.hasOwn(plan.buses, name) ? `buses.${name}` : `channels.${name}`;
}

/** The plan's automation in the order of its samples; of two at one sample, the later in the plan comes later. */
function sortEvents(plan: MixPlan, sampleRateHz: number): readonly TimedEvent[] {
  return plan.automation
    .map(({ target: path, sample, value }, i) => {
      const target = findTarget(plan, path, `automation[${i}].target`);
      target.check(value, `automation[${i}].value`, sampleRateHz);
      return { target, event: { sample, name: target.name, value, band: target.band } };
    })
    .sort((a, b) => a.event.sample - b.event.sample);
}
