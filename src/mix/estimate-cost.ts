/**
 * What a plan costs to render or to run live, before anything is rendered.
 *
 *     share of a core = sum of the strips' costs [ns per frame] x sample rate / 10^9
 *
 * The table of costs was measured on the machine that `docs/performance.md` names: on one that is half as fast the shares are
 * twice as high. What is done before the mix (alignment, hits) and with it (meters, files) is not counted.
 *
 * @module
 */
import { requireFormat } from '../core/pieces.ts';
import { alignedInputs } from './alignment-plan.ts';
import type { MixInput } from './input-reader.ts';
import type { MixPlan } from './plan.ts';
import { stripsOf } from './plan-strips.ts';
import { stripNanoseconds } from './strip-cost.ts';

/** What the cost of a plan depends on besides the plan. */
export interface EstimateCostOptions {
  /** Sample rate in hertz, 8000 to 384 000. */
  readonly sampleRateHz: number;
  /**
   * Sources of the plan's inputs: they tell how many channels a file has, and how long an impulse response is. Without them,
   * an input counts as one channel, and a response as one second.
   */
  readonly inputs?: Readonly<Record<string, MixInput>> | undefined;
}

/** What a plan costs. */
export interface CostEstimate {
  /** Share of one processor core that running it live takes: 1 is all of it. */
  readonly coreShare: number;
  /** How many times faster than it plays one core renders it. */
  readonly timesRealTime: number;
  /** Share of one core by the paths of the strips, `channels.snare`, `buses.drums` or `mixBus`; they add up to `coreShare`. */
  readonly strips: Readonly<Record<string, number>>;
}

const NANOSECONDS_PER_SECOND = 1e9;

/**
 * Estimates what a plan costs on one core.
 *
 * @throws RangeError for a sample rate out of range
 */
export function estimateCost(plan: MixPlan, options: EstimateCostOptions): CostEstimate {
  const { sampleRateHz } = requireFormat('estimateCost', { sampleRateHz: options.sampleRateHz, channels: 1 });
  const moved = (input: string) => isMoved(plan, input);
  const strips = Object.fromEntries(
    stripsOf(plan).map((strip) => [
      strip.path,
      (stripNanoseconds(plan, strip, { inputs: options.inputs, moved }) * sampleRateHz) / NANOSECONDS_PER_SECOND,
    ]),
  );
  const coreShare = Object.values(strips).reduce((sum, share) => sum + share, 0);
  return { coreShare, timesRealTime: 1 / coreShare, strips };
}

/** Whether the alignment will move an input by a fraction of a sample, as it does with all that it listens to. */
function isMoved({ alignment }: MixPlan, input: string): boolean {
  const { method, moves } = alignment;
  if (Object.hasOwn(moves, input)) return !Number.isInteger(moves[input].delaySamples);
  return method !== 'off' && alignedInputs(alignment).some(({ name }) => name === input);
}
