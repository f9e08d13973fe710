/**
 * Costs of the strips of a plan: roughly how long each takes for a frame, so that threads can share them evenly.
 *
 *     cost = reading + channels (blocks + paths) + low ends measured here          the mix bus also measures and writes the mix
 *
 * @module
 */
import { type AlignmentMoves, moveOf } from '../alignment/moves.ts';
import { blockCost } from '../blocks/block-costs.ts';
import { blockTypeOf } from '../blocks/block-plan.ts';
import type { CostedStrip } from './mix-share.ts';
import { MIX_BUS, type MixPlan } from './plan.ts';
import { destinations, hearersOf, type PlannedStrip, runningOrder, stripsOf } from './plan-strips.ts';

/** Nanoseconds for a frame: to read an input, and to move it by a fraction of a sample. */
const READING = 7,
  MOVING = 40;
/** For each channel of a path. */
const PATH = 6;
/** To measure the low end of a reverberation. */
const LOW_END = 47;
/** To measure, to dither and to write what comes out. */
const WRITING = 75;

/** The strips, each behind all it hears, with nanoseconds for a frame. */
export function costedStrips(plan: MixPlan, moves: AlignmentMoves): readonly CostedStrip[] {
  const strips = new Map(stripsOf(plan).map((strip) => [strip.path, strip]));
  const reverberations = [...strips.values()]
    .filter(({ plan: { chain } }) => chain.some((block) => blockTypeOf(block).reverberates))
    .map((strip) => destinations(plan, strip)[0]);
  return runningOrder(plan).map((path) => {
    const strip = strips.get(path) as PlannedStrip;
    const { input } = strip;
    const moved = input !== undefined && !Number.isInteger(moveOf(moves, input).delaySamples);
    const channels = input === undefined ? 2 : 1;
    const blocks = strip.plan.chain.reduce((sum, block) => sum + blockCost(block), 0);
    const cost =
      (input === undefined ? 0 : READING) +
      (moved ? MOVING : 0) +
      channels * (blocks + PATH * destinations(plan, strip).length) +
      LOW_END * reverberations.filter((to) => to === path).length +
      (path === MIX_BUS ? WRITING : 0);
    return { path, cost, hearers: hearersOf(plan, path) };
  });
}
