/**
 * Mixer: makes the running strips that a plan describes, connected and timed.
 * @module
 */
import { type AppliedMoves, moveOf } from '../alignment/moves.ts';
import { type BlockPlan, blockTypeOf, checkBlock } from '../blocks/block-plan.ts';
import { createBlock, type RunningBlock } from '../blocks/create-block.ts';
import type { StreamFormat } from '../core/processor.ts';
import type { SimdKernels } from '../core/simd-kernels.ts';
import { resolveAutomation, type TimedEvent } from './automation.ts';
import { HitKeyTap } from './hit-key-tap.ts';
import { type Impulses, readImpulses } from './impulses.ts';
import { requireRate } from './input-rate.ts';
import { InputReader, type MixInput } from './input-reader.ts';
import { KeyTap } from './key-tap.ts';
import { LowEnd } from './low-end.ts';
import type { MixShare } from './mix-share.ts';
import { Path } from './path.ts';
import { type BusPlan, MIX_BUS, type MixPlan } from './plan.ts';
import { destinations, hearersOf, OUTPUT, type PlannedStrip, routed, stripPath, stripsOf } from './plan-strips.ts';
import type { PreparedHits } from './prepare-hits.ts';
import { route, type Timing, total } from './routing.ts';
import { type Fader, pathMatrix, Strip, type StripBlock, type StripEvent, type StripPath } from './strip.ts';

/** A strip with what the renderer must know of it. */
export interface MixerStrip {
  /** `channels.snare`, `buses.drums` or `mixBus`. */
  readonly path: string;
  readonly plan: BusPlan;
  readonly strip: Strip;
  /** Latency of each block of its chain, in samples. */
  readonly latencies: readonly number[];
  /** The blocks, if the chain runs here. */
  readonly blocks: readonly StripBlock[];
  /** Whether its chain runs here, and whether a strip that runs here hears it. */
  readonly runs: boolean;
  readonly heard: boolean;
  readonly timing: Timing;
  /** Name of the input that a channel runs, and what reads it; undefined for buses. */
  readonly input: string | undefined;
  readonly reader: InputReader | undefined;
  /** For a bus with a reverberation whose destination runs here: its low end there. */
  readonly lowEnd: LowEnd | undefined;
  /** How long the strip sounds after the inputs' end, its latency not counted, in samples. */
  readonly tailSamples: number;
}

/** A mix ready to run. */
export interface Mixer {
  /** In an order in which each strip comes after all it hears; the mix bus is the last one that matters. */
  readonly strips: readonly MixerStrip[];
  /** Left and right of the mix, a chunk long. */
  readonly output: readonly Float64Array[];
  /** What of it runs here; all of it if undefined. */
  readonly share: MixShare | undefined;
  readonly latencySamples: number;
  readonly tailSamples: number;
}

/** How a mixer is made. */
export interface MixerOptions {
  readonly sampleRateHz: number;
  /** Most frames at a time. */
  readonly chunkFrames: number;
  /** What the alignment does to the inputs. */
  readonly moves: AppliedMoves;
  /** What the plan's hits bring about, if it has any. */
  readonly hits?: PreparedHits | undefined;
  /** What of the mix runs here; all of it unless given. */
  readonly share?: MixShare | undefined;
  /** Does some blocks' work, with the same bits. */
  readonly simd?: SimdKernels | undefined;
  /** Whether the low end of reverberations is measured. */
  readonly measureLowEnd?: boolean;
  /** Puts something around a block of a strip. */
  readonly wrap?: (path: string, block: RunningBlock, index: number) => RunningBlock;
}

/** A strip with its processors, not yet connected. */
interface Node extends PlannedStrip {
  readonly reader: InputReader | undefined;
  readonly format: StreamFormat;
  readonly buffers: readonly Float64Array[];
  readonly blocks: readonly RunningBlock[];
  readonly impulses: Impulses;
}

/**
 * Makes the mixer for a plan.
 *
 * @throws RangeError, with a path, if an input has another sample rate or too many channels, or a parameter does not fit
 *   the sample rate
 */
export function createMixer(plan: MixPlan, inputs: Readonly<Record<string, MixInput>>, options: MixerOptions): Mixer {
  const { sampleRateHz, chunkFrames, moves, hits, measureLowEnd = true, share } = options;
  const nodes = createNodes(plan, inputs, options);
  const latencies = (node: Node) => node.blocks.map(({ processor }) => processor.latencySamples);
  const timings = route([...nodes.values()].map((node) => routed(plan, node, latencies(node))));
  const events = resolveAutomation(plan, sampleRateHz).map(({ event, ...rest }) => ({
    ...rest,
    event: { ...event, sample: event.sample + moves.leadSamples },
  }));
  const output = [new Float64Array(chunkFrames), new Float64Array(chunkFrames)];
  const tails = new Map<string, number>();

  const strips = [...timings].map(([path, timing]): MixerStrip => {
    const node = nodes.get(path) as Node;
    const own = events.filter(({ target }) => target.strip === path);
    const here = (to: string) => share?.runs(to === OUTPUT ? MIX_BUS : to) ?? true;
    const lowEnd = measureLowEnd ? lowEndOf(plan, node, nodes, sampleRateHz, here) : undefined;
    const fader: Fader = { ...node.plan, sendsDb: node.plan.sends.map(({ gainDb }) => gainDb) };
    const blocks = here(path) ? connectBlocks(plan, node, nodes, timings, own, moves, hits) : [];
    const strip = new Strip({
      buffers: node.buffers,
      blocks,
      paths: connectPaths(plan, node, nodes, timings, fader, output, sampleRateHz, here).map((path) =>
        lowEnd && path.send < 0 ? { ...path, to: lowEnd.own } : path,
      ),
      fader,
      faderTime: timing.end,
      faderEvents: own
        .filter(({ target }) => target.kind !== 'block')
        .map(({ event, target }) => ({ ...event, send: target.kind === 'send' ? target.index : -1 })),
      law: plan.panLaw,
    });
    const sources = [...nodes.values()].filter((source) => destinations(plan, source).includes(path));
    const tailSamples =
      Math.max(0, ...sources.map((source) => tails.get(source.path) as number)) +
      total(node.blocks.map((_, b) => longestTailSamples(node, b, eventsOf(own, b))));
    tails.set(path, tailSamples);
    const { input, reader } = node;
    const heard = hearersOf(plan, path).some(here);
    const runs = here(path);
    return {
      path,
      plan: node.plan,
      strip,
      latencies: latencies(node),
      blocks,
      runs,
      heard,
      timing,
      input,
      reader,
      lowEnd,
      tailSamples,
    };
  });
  const { end } = timings.get(MIX_BUS) as Timing;
  return { strips, output, share, latencySamples: end, tailSamples: tails.get(MIX_BUS) as number };
}

/** Runs `frames` frames that stand at `now`, at most a chunk, into the mixer's output. Allocates nothing. */
export function runMixer({ strips, output, share }: Mixer, now: number, frames: number): void {
  clear(output, frames);
  for (let s = 0; s < strips.length; s++) if (!strips[s].reader) clear(strips[s].strip.buffers, frames);
  for (let s = 0; s < strips.length; s++) {
    const { path, runs, heard, reader, strip, timing, lowEnd } = strips[s];
    if (runs) {
      reader?.read(now - timing.start, strip.buffers, frames);
      for (let r = 0; r < strips.length; r++) if (strips[r].lowEnd?.to === path) strips[r].lowEnd?.measure(frames);
      strip.run(now, frames);
      share?.give(path, strip.buffers);
    } else if (heard) share?.take(path, strip.buffers);
    lowEnd?.clear(frames);
    strip.add(now, frames);
    lowEnd?.passOn(frames);
  }
}

function clear(buffers: readonly Float64Array[], frames: number): void {
  for (let c = 0; c < buffers.length; c++) buffers[c].fill(0, 0, frames);
}

/** The strips by their paths. */
function createNodes(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  { sampleRateHz, chunkFrames, moves: { moves, leadSamples }, hits, simd, wrap = (_, block) => block }: MixerOptions,
): ReadonlyMap<string, Node> {
  const readers = new Map<string, InputReader>();
  for (const [name, { input }] of Object.entries(plan.channels)) {
    const source = inputs[input];
    requireRate(input, source, sampleRateHz);
    const processed = hits?.open(input);
    readers.set(
      `channels.${name}`,
      new InputReader(
        `inputs.${input}`,
        processed ?? source,
        processed ? undefined : plan.inputs[input].channel,
        chunkFrames,
        { move: moveOf(moves, input), leadSamples },
      ),
    );
  }
  const impulses = readImpulses(plan, inputs);
  const channelsOf = (path: string) => readers.get(path)?.channels ?? 2;
  const keyChannels = ({ key, hitKey }: BlockPlan) =>
    hitKey ? 1 : key === undefined ? undefined : channelsOf(stripPath(plan, key));
  return new Map(
    stripsOf(plan).map((strip): [string, Node] => {
      const { path } = strip;
      const format = { sampleRateHz, channels: channelsOf(path), simd };
      const blocks = strip.plan.chain.map((block, b) => {
        checkBlock(`${path}.chain[${b}]`, block, sampleRateHz);
        return wrap(path, createBlock(block, format, keyChannels(block), impulses.get(block)), b);
      });
      const buffers = Array.from({ length: format.channels }, () => new Float64Array(chunkFrames));
      return [path, { ...strip, reader: readers.get(path), format, buffers, blocks, impulses }];
    }),
  );
}

/** The probe at the output of a bus with a reverberation. */
function lowEndOf(
  plan: MixPlan,
  node: Node,
  nodes: ReadonlyMap<string, Node>,
  sampleRateHz: number,
  here: (to: string) => boolean,
): LowEnd | undefined {
  if (!node.path.startsWith('buses.') || !node.plan.chain.some((block) => blockTypeOf(block).reverberates)) return;
  const [to] = destinations(plan, node);
  return here(to) ? new LowEnd(to, (nodes.get(to) as Node).buffers, sampleRateHz) : undefined;
}

/** Longest tail of all that a block becomes: its events are run through a copy that nobody hears. */
function longestTailSamples(node: Node, b: number, events: readonly StripEvent[]): number {
  if (events.length === 0) return node.blocks[b].processor.tailSamples;
  const block = node.plan.chain[b];
  const copy = createBlock(block, node.format, undefined, node.impulses.get(block));
  let longest = copy.processor.tailSamples;
  for (const { name, value, band } of events) {
    copy.set(name, value, band);
    copy.processor.reset(); // what waits inside a split arrives
    longest = Math.max(longest, copy.processor.tailSamples);
  }
  return longest;
}

/** What will be set on a strip's block. */
function eventsOf(events: readonly TimedEvent[], b: number): readonly StripEvent[] {
  return events.filter(({ target }) => target.kind === 'block' && target.index === b).map(({ event }) => event);
}

function connectBlocks(
  plan: MixPlan,
  node: Node,
  nodes: ReadonlyMap<string, Node>,
  timings: ReadonlyMap<string, Timing>,
  events: readonly TimedEvent[],
  { moves, leadSamples }: AppliedMoves,
  hits: PreparedHits | undefined,
): readonly StripBlock[] {
  let time = (timings.get(node.path) as Timing).start;
  const movedBy = (drum: string) => Math.round(moveOf(moves, plan.hits?.drums[drum].microphone ?? '').delaySamples);
  return node.blocks.map((block, b): StripBlock => {
    const { key, hitKey } = node.plan.chain[b];
    const from = key === undefined ? undefined : stripPath(plan, key);
    const connected = {
      block,
      key: hitKey
        ? hits && new HitKeyTap(hits.keyOf(hitKey), time + leadSamples + movedBy(hitKey.drum), node.buffers[0].length)
        : from && new KeyTap((nodes.get(from) as Node).buffers, time - (timings.get(from) as Timing).end),
      time,
      events: eventsOf(events, b),
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
  here: (to: string) => boolean,
): readonly StripPath[] {
  const { end } = timings.get(node.path) as Timing;
  return destinations(plan, node).flatMap((to, d): StripPath[] => {
    if (!here(to)) return [];
    const send = d - 1;
    const tap = send < 0 ? 'postFader' : node.plan.sends[send].tap;
    const matrix = pathMatrix(node.buffers.length, fader, send, tap, plan.panLaw);
    const delay = to === OUTPUT ? 0 : (timings.get(to) as Timing).start - end;
    const target = to === OUTPUT ? output : (nodes.get(to) as Node).buffers;
    const highpassHz = send < 0 ? 0 : node.plan.sends[send].highpassHz;
    return [{ path: new Path(matrix, delay, sampleRateHz, highpassHz), to: target, send, tap }];
  });
}
