/**
 * Chain from JSON: the same blocks, under the same checks, as a channel of a plan has.
 * @module
 */
import { type BlockPlan, parseBlock } from '../blocks/block-plan.ts';
import { createBlock } from '../blocks/create-block.ts';
import { Chain } from '../core/chain.ts';
import type { Processor, StreamFormat } from '../core/processor.ts';
import { meterLength } from './meter-layout.ts';
import { MeteredBlock } from './metered-block.ts';

/**
 * Makes a chain; its blocks can be reached by themselves, too.
 *
 * @param json - blocks as a plan writes them; those that name a `key`, whatever the name, hear the chain's key
 * @param meters - where the blocks note what their detectors do
 * @throws TypeError or RangeError with the path of the first fault: `chain[2].attackMs must be 0 to 1000, got -3`
 */
export function createBlockChain(
  json: readonly unknown[],
  format: StreamFormat,
  keyChannels: number,
  meters?: Float64Array,
): { readonly chain: Chain; readonly blocks: readonly Processor[] } {
  const plans = json.map((block, b) => parseBlock(`chain[${b}]`, block, keysOf(block), format.sampleRateHz));
  const processors = plans.map(
    (plan, b) => new MeteredBlock(createBlock(plan, format, heard(plan)), meters, meterLength(b)),
  );
  const listeners = plans.flatMap(({ key }, b) => (key === undefined ? [] : [b]));
  return { chain: new Chain(format, processors, { channels: keyChannels, listeners }), blocks: processors };

  function heard({ key }: BlockPlan): number {
    return key === undefined ? format.channels : keyChannels;
  }
}

function keysOf(block: unknown): readonly string[] {
  const { key } = (block ?? {}) as { key?: unknown };
  return typeof key === 'string' ? [key] : ['key'];
}
