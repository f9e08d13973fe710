/**
 * The gain that makes a processed signal as loud as it was: louder shall not pass for better.
 *
 *     gain = loudness of the input - loudness of the output          integrated, ITU-R BS.1770
 *
 * @module
 */
import type { Channels, Processor } from '../core/processor.ts';
import { measureLoudness } from '../meters/loudness.ts';

/**
 * Runs a signal through a processor, from its reset, and compares the loudness of what comes out with what went in.
 *
 * @returns gain in dB; 0 if either is silent, or shorter than the 400 ms that loudness needs
 */
export function matchLoudness(processor: Processor, channels: Channels): number {
  const { sampleRateHz } = processor.format;
  const output = channels.map((channel) => new Float64Array(channel.length));
  processor.reset();
  processor.process(channels, output);
  const gainDb = measureLoudness(channels, sampleRateHz) - measureLoudness(output, sampleRateHz);
  return Number.isFinite(gainDb) ? gainDb : 0;
}
