/**
 * A small WAV file in one call.
 *
 * @module
 */
import type { Channels } from '../core/processor.ts';
import { BytesSink } from './byte-io.ts';
import { WavWriter } from './writer.ts';
import type { WavWriterOptions } from './writer-options.ts';

/** {@link WavWriterOptions} without the number of channels, which the samples tell. */
export type EncodeWavOptions = Omit<WavWriterOptions, 'channels'>;

/**
 * Encodes a whole file; 24-bit integers with dither unless the options say otherwise.
 *
 * @param channels - one array per channel, all of one length, full scale at +-1
 * @throws TypeError, RangeError as {@link WavWriter} does; RangeError for arrays of different lengths
 */
export function encodeWav(channels: Channels, options: EncodeWavOptions): Uint8Array {
  const sink = new BytesSink();
  const writer = new WavWriter(sink, { ...options, channels: channels.length });
  for (let c = 1; c < channels.length; c++) {
    if (channels[c].length !== channels[0].length) {
      throw new RangeError(
        `encodeWav: channels[${c}] must have ${channels[0].length} samples, got ${channels[c].length}`,
      );
    }
  }
  writer.write(channels);
  writer.close();
  return sink.toBytes();
}
