/**
 * What the plain classes give in Node for the cases that the browsers run.
 */
import { Chain } from '../../src/core/chain.ts';
import { parseBlock } from '../../src/blocks/block-plan.ts';
import { createBlock } from '../../src/blocks/create-block.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { type BrowserCase, burstsOf, SAMPLE_RATE_HZ } from './cases.ts';
import { digest } from './digest.ts';

/** A chain of the classes, cut at the frames at which something is set. */
export function renderInNode({ chain, channels, frames, sets }: BrowserCase): Float32Array[] {
  const format = { sampleRateHz: SAMPLE_RATE_HZ, channels };
  const plans = chain.map((block, b) => parseBlock(`chain[${b}]`, block, ['any'], SAMPLE_RATE_HZ));
  const processors = plans.map((plan) => createBlock(plan, format).processor);
  const listeners = plans.flatMap(({ key }, b) => (key === undefined ? [] : [b]));
  const running = new Chain(format, processors, { channels, listeners });
  const output = Array.from({ length: channels }, () => new Float32Array(frames));
  const input = burstsOf(channels, frames, 1),
    key = listeners.length > 0 ? burstsOf(channels, frames, 2) : undefined;
  let start = 0;
  for (const { block, options, frame } of [...sets, { block: -1, options: {}, frame: frames }]) {
    running.process(input, output, { key, start, end: frame });
    if (block >= 0) running.set({ [block]: options });
    start = frame;
  }
  return output;
}

/** SHA-256 of what the classes give. */
export function expectedDigest(one: BrowserCase): Promise<string> {
  return digest(renderInNode(one));
}

/** The compressor of the case `parameters`: its values are float32, and one of them jumps at the 40th quantum. */
export function expectedParams(): Promise<string> {
  const frames = 128 * 100;
  const format = { sampleRateHz: SAMPLE_RATE_HZ, channels: 2 };
  const rounded = Object.fromEntries(
    Object.entries({ ...new Compressor(format).values, thresholdDb: -30, ratio: 3 }).map(([name, value]) => [
      name,
      typeof value === 'number' ? Math.fround(value) : value,
    ]),
  );
  const compressor = new Compressor(format, rounded);
  const x = burstsOf(2, frames, 1);
  compressor.process(x, x, { start: 0, end: 128 * 40 });
  compressor.set({ thresholdDb: -10 });
  compressor.process(x, x, { start: 128 * 40, end: frames });
  return digest(x);
}
