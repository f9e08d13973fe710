/**
 * Impulse responses of a plan: inputs that no channel runs, but a block names.
 * @module
 */
import type { BlockPlan } from '../blocks/block-plan.ts';
import { requireInteger } from '../core/check.ts';
import type { ImpulseResponse } from '../reverb/convolution-reverb.ts';
import { InputReader, type MixInput } from './input-reader.ts';
import type { MixPlan } from './plan.ts';
import { stripsOf } from './plan-strips.ts';

/** Responses by the block that names them. */
export type Impulses = ReadonlyMap<BlockPlan, ImpulseResponse>;

/** Longest response, in samples: beyond it, a file is a recording by mistake. */
const LONGEST_FRAMES = 1 << 22;

/** True stereo. */
const MOST_CHANNELS = 4;

/** Reads the responses of all blocks of a plan. @throws RangeError, with a path, for a file without or with too many frames */
export function readImpulses(plan: MixPlan, inputs: Readonly<Record<string, MixInput>>): Impulses {
  const impulses = new Map<BlockPlan, ImpulseResponse>();
  for (const { plan: strip } of stripsOf(plan)) {
    for (const block of strip.chain) {
      if (block.impulse !== undefined) impulses.set(block, readImpulse(plan, inputs, block.impulse));
    }
  }
  return impulses;
}

function readImpulse(plan: MixPlan, inputs: Readonly<Record<string, MixInput>>, name: string): ImpulseResponse {
  const source = inputs[name],
    path = `inputs.${name}`;
  const frames = requireInteger(`${path}: frames of the file`, source.frames, 1, LONGEST_FRAMES);
  const reader = new InputReader(path, source, plan.inputs[name].channel, frames, { most: MOST_CHANNELS });
  const channels = Array.from({ length: reader.channels }, () => new Float64Array(frames));
  reader.read(0, channels, frames);
  return { channels, sampleRateHz: source.sampleRateHz };
}
