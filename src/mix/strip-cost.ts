/**
 * Costs of the strips of a plan: how long each takes for a frame, so that threads can share them evenly, and a plan's cost
 * can be told before it runs.
 *
 *     cost = what a track or a bus costs without blocks + sends + what its input undergoes + blocks + low ends measured here
 *
 * @module
 */
import { type AlignmentMoves, moveOf } from '../alignment/moves.ts';
import { blockNanoseconds, measuredNanoseconds } from '../blocks/block-cost.ts';
import { blockTypeOf } from '../blocks/block-plan.ts';
import type { MixInput } from './input-reader.ts';
import type { CostedStrip } from './mix-share.ts';
import { MIX_BUS, type MixPlan } from './plan.ts';
import { destinations, hearersOf, type PlannedStrip, runningOrder, stripsOf } from './plan-strips.ts';

/** Nanoseconds for a frame to measure the low end of a reverberation. */
const LOW_END = 47;
/** To measure, to dither and to write what comes out. */
const WRITING = 75;

/** What the cost of a strip depends on besides the plan. */
export interface StripCostOptions {
  /**
   * Sources of the plan's inputs: they tell how many channels a file has, and how long an impulse response is. Without them,
   * an input counts as one channel, and a response as one second.
   */
  readonly inputs?: Readonly<Record<string, MixInput>> | undefined;
  /** Whether an input is moved by a fraction of a sample. */
  readonly moved: (input: string) => boolean;
}

/** Processor time of a strip in ns per frame. */
export function stripNanoseconds(plan: MixPlan, strip: PlannedStrip, options: StripCostOptions): number {
  const { input, path } = strip;
  const { chain, sends } = strip.plan;
  const channels = input === undefined ? 2 : channelsOf(plan, input, options);
  const track = measuredNanoseconds('track without blocks', channels);
  const send = measuredNanoseconds('track with a send', channels) - track;
  const bus = measuredNanoseconds('track with a bus', 1) - measuredNanoseconds('track without blocks', 1);
  return (
    (input === undefined ? bus : track + inputNanoseconds(plan, input, options)) +
    sends.length * send +
    chain.reduce(
      (sum, block) =>
        sum + blockNanoseconds(block, { channels, impulseSeconds: impulseSeconds(block.impulse, options) }),
      0,
    ) +
    LOW_END * reverberationsInto(plan, path)
  );
}

/** The strips, each behind all it hears, with nanoseconds for a frame of a mix that is measured and written. */
export function costedStrips(
  plan: MixPlan,
  moves: AlignmentMoves,
  inputs?: Readonly<Record<string, MixInput>>,
): readonly CostedStrip[] {
  const strips = new Map(stripsOf(plan).map((strip) => [strip.path, strip]));
  const moved = (input: string) => !Number.isInteger(moveOf(moves, input).delaySamples);
  return runningOrder(plan).map((path) => ({
    path,
    cost:
      stripNanoseconds(plan, strips.get(path) as PlannedStrip, { inputs, moved }) + (path === MIX_BUS ? WRITING : 0),
    hearers: hearersOf(plan, path),
  }));
}

function channelsOf({ inputs }: MixPlan, name: string, options: StripCostOptions): number {
  return inputs[name].channel === undefined ? (options.inputs?.[name].channels ?? 1) : 1;
}

function impulseSeconds(name: string | undefined, { inputs }: StripCostOptions): number {
  if (name === undefined || !inputs) return 1;
  return inputs[name].frames / inputs[name].sampleRateHz;
}

/** What happens to an input before its channel: moved by a fraction of a sample, cleaned of bleed, layered. */
function inputNanoseconds({ hits }: MixPlan, name: string, { moved }: StripCostOptions): number {
  const drums = Object.values(hits?.drums ?? {});
  const microphones = new Set([...drums.map(({ microphone }) => microphone), ...(hits?.furtherMicrophones ?? [])]);
  const own = drums.filter(({ microphone }) => microphone === name);
  return (
    (moved(name) ? measuredNanoseconds('fractionalDelay', 1) : 0) +
    (own.some(({ bleed }) => bleed) ? measuredNanoseconds('bleed reduction', microphones.size) : 0) +
    own.filter(({ layer }) => layer).length * measuredNanoseconds('samples on hits', 1)
  );
}

/** How many buses with a reverberation lead to a strip, which measures the low end of each. */
function reverberationsInto(plan: MixPlan, path: string): number {
  return stripsOf(plan).filter(
    (strip) =>
      strip.path.startsWith('buses.') &&
      destinations(plan, strip)[0] === path &&
      strip.plan.chain.some((block) => blockTypeOf(block).reverberates),
  ).length;
}
