/**
 * The blocks that are measured, as a plan would name them: every type with its defaults, and those settings that change
 * what it costs. Levels are such that the block has something to do.
 */
import { parseBlock } from '../src/blocks/block-plan.ts';
import { blockTypes } from '../src/blocks/block-types.ts';
import { createBlock } from '../src/blocks/create-block.ts';
import type { Processor } from '../src/core/processor.ts';
import type { SimdKernels } from '../src/core/simd-kernels.ts';
import type { ImpulseResponse } from '../src/reverb/convolution-reverb.ts';
import { noise } from '../tests/support/signals.ts';
import { RATE_HZ } from './sound.ts';

const bell = (frequencyHz: number) => ({ type: 'peaking', frequencyHz, gainDb: 3 });
const clipper = { driveDb: 12 };

/** What a type needs to be at work; nothing for those whose defaults do. */
const atWork: Readonly<Record<string, object>> = {
  gain: { gainDb: -3 },
  delay: { delaySamples: 100 },
  fractionalDelay: { delaySamples: 10.5 },
  equaliser: { bands: [100, 400, 1600, 6400].map(bell) },
  transientShaper: { attackDb: 6, sustainDb: -6 },
  limiter: { ceilingDb: -6 },
  hardClipper: clipper,
  softClipper: clipper,
  convolutionReverb: { impulse: 'second' },
};

/** Settings that change the cost of a type, by what is said of them. */
const settings: Readonly<Record<string, Readonly<Record<string, object>>>> = {
  equaliser: { '1 band': { bands: [bell(400)] } },
  bandSplit: { '4 bands': { bands: [{}, {}, {}, {}] } },
  compressor: { rms: { detector: 'rms' }, 'key filter': { keyFilter: [bell(400)] } },
  limiter: { 'true peak': { truePeak: true } },
  hardClipper: {
    '1x': { oversampling: 1 },
    '2x': { oversampling: 2 },
    '4x': { oversampling: 4 },
    '16x': { oversampling: 16 },
    '1x, first antiderivative': { oversampling: 1, antialiasing: 'firstAntiderivative' },
    '4x, first antiderivative': { oversampling: 4, antialiasing: 'firstAntiderivative' },
    '4x, second antiderivative': { oversampling: 4, antialiasing: 'secondAntiderivative' },
    '4x, corner correction': { oversampling: 4, antialiasing: 'cornerCorrection' },
  },
  softClipper: {
    '1x': { oversampling: 1 },
    '4x': { oversampling: 4 },
    '4x, cubic': { oversampling: 4, curve: 'cubic' },
    '4x, second antiderivative': { oversampling: 4, antialiasing: 'secondAntiderivative' },
  },
  schroederReverb: { 'low density': { density: 'low' }, 'high density': { density: 'high' } },
  feedbackReverb: { '8 lines': { lines: 8 } },
  convolutionReverb: { '4 s': { impulse: 'four seconds' }, late: { zeroLatency: false } },
};

/** The blocks by their names: JSON as it stands in a chain. */
export const blockCases: Readonly<Record<string, object>> = Object.fromEntries(
  Object.keys(blockTypes).flatMap((type): [string, object][] => {
    const plain = { type, ...atWork[type] };
    const others = Object.entries(settings[type] ?? {});
    return [
      [type, plain],
      ...others.map(([name, set]): [string, object] => [`${type}, ${name}`, { ...plain, ...set }]),
    ];
  }),
);

/** Blocks that take two channels only. */
export const stereoOnly: readonly string[] = ['midSide', 'monoBelow'];

/** Lengths of the impulse responses, in seconds. */
const impulses: Readonly<Record<string, number>> = { second: 1, 'four seconds': 4 };

/** Blocks that have work done in WebAssembly, if they are given it. */
export function hasSimd(name: string): boolean {
  const { type } = blockCases[name] as { readonly type: string };
  if (name === 'equaliser' || ['compressor', 'schroederReverb'].includes(type)) return true;
  return 'oversampling' in blockTypes[type].parameters;
}

/** Makes the block of a case, in plain loops unless it is given more. */
export function blockOf(name: string, channels: number, simd?: SimdKernels): Processor {
  const plan = parseBlock(name, blockCases[name], [], RATE_HZ, Object.keys(impulses));
  const impulse = plan.impulse === undefined ? undefined : decay(impulses[plan.impulse]);
  return createBlock(plan, { sampleRateHz: RATE_HZ, channels, simd }, channels, impulse).inner;
}

/** Noise that falls by 60 dB. */
function decay(seconds: number): ImpulseResponse {
  const frames = seconds * RATE_HZ;
  const channel = noise(frames, 1).map((x, n) => x * Math.exp((-6.9 * n) / frames));
  return { sampleRateHz: RATE_HZ, channels: [channel] };
}
