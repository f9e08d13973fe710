/**
 * Makes the processor that a block plan describes.
 * @module
 */
import { Bypass } from '../core/bypass.ts';
import type { Processor, StreamFormat } from '../core/processor.ts';
import { Equaliser } from '../filters/equaliser.ts';
import { type BlockPlan, blockTypeOf } from './block-plan.ts';

/** A processor made from a plan. */
export interface RunningBlock {
  /** What runs: the processor itself, or a bypass around it. */
  readonly processor: Processor;
  /** The processor itself, and the bypass around it. */
  readonly inner: Processor;
  readonly bypass: Bypass | undefined;
  /** Sets a parameter by its name; `band` tells which band of an equaliser, or is -1. */
  set(name: string, value: number | boolean, band: number): void;
}

/**
 * Makes the processor of a validated block.
 *
 * @param keyChannels - number of channels of the key that the block will be given
 */
export function createBlock(block: BlockPlan, format: StreamFormat, keyChannels = format.channels): RunningBlock {
  const { options, bands = [], keyFilter, bypassed } = block;
  const filter = keyFilter && new Equaliser({ sampleRateHz: format.sampleRateHz, channels: keyChannels }, keyFilter);
  const inner = blockTypeOf(block).create(format, options, { bands, keyFilter: filter });
  const bypass = bypassed === undefined ? undefined : new Bypass(inner, { bypassed });
  return {
    processor: bypass ?? inner,
    inner,
    bypass,
    set: (name, value, band) => {
      if (name === 'bypassed') bypass?.set({ bypassed: value as boolean });
      else inner.set({ [band < 0 ? name : `bands[${band}].${name}`]: value });
    },
  };
}
