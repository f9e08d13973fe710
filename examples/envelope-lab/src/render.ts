/**
 * Runs the chosen block over the chosen sound.
 *
 *     input -+-> block, traced ------------------> + -> output
 *            +-> [ delayed by its latency ] ------->        if the input is to be added
 *
 * @module
 */
import { type BlockPlan, createBlock, parseBlock } from 'batterhead/blocks';
import type { Processor, StreamFormat } from 'batterhead/core';
import type { Settings } from './settings.ts';

/** A sound in memory. */
export interface Sound {
  readonly sampleRateHz: number;
  readonly channels: readonly Float32Array[];
}

/** What came out of the block, and what went on inside. */
export interface Rendering {
  readonly input: Sound;
  readonly output: Sound;
  readonly latencySamples: number;
  /** Whether one channel was taken for both of a block that needs two. */
  readonly doubled: boolean;
  /** Of the first channel, one value for each sample of the output; only dynamics blocks have them. */
  readonly trace: { readonly levelDb: Float32Array; readonly gainDb: Float32Array } | undefined;
}

/** What determines the block; the rest of the settings is about the sound. */
export type BlockSettings = Pick<Settings, 'block' | 'options' | 'keyHighpassHz'>;

/** Blocks that have two channels by nature. */
const STEREO: readonly string[] = ['midSide', 'monoBelow'];

/** Whether a sound of one channel is doubled for a block. */
export function needsTwoChannels(block: string): boolean {
  return STEREO.includes(block);
}

/** The block in the words of a plan. @throws TypeError or RangeError of the library, for an option that does not fit */
export function planOf({ block, options, keyHighpassHz }: BlockSettings, sampleRateHz: number): BlockPlan {
  const inside = block === 'equaliser' ? { bands: [options] } : options;
  const heard = keyHighpassHz > 0 && { keyFilter: [{ type: 'highpass', frequencyHz: Math.max(10, keyHighpassHz) }] };
  return parseBlock('block', { type: block, ...inside, ...heard }, [], sampleRateHz);
}

/** A new block. */
export function makeBlock(settings: BlockSettings, format: StreamFormat): Processor {
  return createBlock(planOf(settings, format.sampleRateHz), format).processor;
}

/** Processes a sound. @throws TypeError or RangeError of the library, for an option that does not fit */
export function render(sound: Sound, settings: BlockSettings & Pick<Settings, 'dry'>): Rendering {
  const { sampleRateHz } = sound;
  const doubled = sound.channels.length === 1 && needsTwoChannels(settings.block);
  const channels = doubled ? [sound.channels[0], sound.channels[0]] : sound.channels;
  const block = makeBlock(settings, { sampleRateHz, channels: channels.length });
  const output = channels.map((x) => new Float32Array(x.length));
  const row = () => new Float32Array(channels[0].length);
  const trace = block.takesKey ? { levelDb: row(), gainDb: row() } : undefined;
  // With less than full link there are as many rows as channels; the first one is shown.
  const rows = (first: Float32Array) => [first, ...channels.slice(1).map(row)];
  block.process(channels, output, trace && { trace: { levelDb: rows(trace.levelDb), gainDb: rows(trace.gainDb) } });
  if (settings.dry !== 'none') addDry(channels, output, settings.dry === 'inTime' ? block.latencySamples : 0);
  return {
    input: { sampleRateHz, channels },
    output: { sampleRateHz, channels: output },
    latencySamples: block.latencySamples,
    doubled,
    trace,
  };
}

function addDry(input: readonly Float32Array[], output: readonly Float32Array[], delaySamples: number): void {
  output.forEach((y, c) => {
    for (let i = delaySamples; i < y.length; i++) y[i] += input[c][i - delaySamples];
  });
}
