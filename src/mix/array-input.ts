/**
 * Array input: a recording in memory as an input of a mix.
 * @module
 */
import { requireFormat, requireShape } from '../core/pieces.ts';
import type { Channels } from '../core/processor.ts';
import type { MixInput } from './input-reader.ts';

/**
 * Makes an input from samples, which are not copied.
 *
 * @param samples - one array per channel, equal lengths
 * @param sampleRateHz - 8000 to 384000
 * @throws RangeError or TypeError for arrays or a rate that cannot be
 */
export function arrayInput(samples: Channels, sampleRateHz: number): MixInput {
  const channels = samples.length;
  requireFormat('arrayInput', { sampleRateHz, channels });
  const frames = requireShape('arrayInput', 'samples', samples, channels);
  return {
    sampleRateHz,
    channels,
    frames,
    read: (start, into, count) => {
      const there = Math.max(0, Math.min(count, frames - start));
      for (let c = 0; c < channels; c++) into[c].set(samples[c].subarray(start, start + there));
      return there;
    },
  };
}
