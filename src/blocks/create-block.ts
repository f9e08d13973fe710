/**
 * Makes the processor that a block plan describes.
 * @module
 */
import { Bypass } from '../core/bypass.ts';
import { Chain } from '../core/chain.ts';
import type { Processor, StreamFormat } from '../core/processor.ts';
import { Equaliser } from '../filters/equaliser.ts';
import type { ImpulseResponse } from '../reverb/convolution-reverb.ts';
import { type BlockPlan, blockTypeOf, chainsOf } from './block-plan.ts';

/** A processor made from a plan. */
export interface RunningBlock {
  /** What runs: the processor itself, or a bypass around it. */
  readonly processor: Processor;
  /** The processor itself, and the bypass around it. */
  readonly inner: Processor;
  /** The switch around the block, where the plan named `bypassed`. */
  readonly bypass: Bypass | undefined;
  /**
   * Sets a parameter by its name; `band` tells which band of an equaliser, or is -1. A block inside a split is reached by
   * the name `bands[1].chain[0].thresholdDb`.
   */
  set(name: string, value: number | boolean, band: number): void;
}

/** A parameter of a block inside a split: band, place in the band's chain, name. */
const INSIDE = /^bands\[(\d+)\]\.chain\[(\d+)\]\.(.+)$/;

/**
 * Makes the processor of a validated block.
 *
 * @param keyChannels - number of channels of the key that the block will be given
 * @param impulse - recorded impulse response, for a block that takes one
 */
export function createBlock(
  block: BlockPlan,
  format: StreamFormat,
  keyChannels = format.channels,
  impulse?: ImpulseResponse,
): RunningBlock {
  const { options, bands = [], keyFilter, bypassed } = block;
  const filter = keyFilter && new Equaliser({ ...format, channels: keyChannels }, keyFilter);
  const chains = chainsOf(block).map(
    (chain) =>
      new Chain(
        format,
        chain.map((inside) => createBlock(inside, format).processor),
      ),
  );
  const inner = blockTypeOf(block).create(format, options, { bands, keyFilter: filter, impulse, inner: chains });
  const bypass = bypassed === undefined ? undefined : new Bypass(inner, { bypassed });
  return {
    processor: bypass ?? inner,
    inner,
    bypass,
    set: (name, value, band) => {
      const inside = INSIDE.exec(name);
      if (inside) chains[Number(inside[1])].set({ [inside[2]]: { [inside[3]]: value } });
      else if (name === 'bypassed') bypass?.set({ bypassed: value as boolean });
      else inner.set({ [band < 0 ? name : `bands[${band}].${name}`]: value });
    },
  };
}
