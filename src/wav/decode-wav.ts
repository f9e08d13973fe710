/**
 * A small WAV file in one call.
 *
 * @module
 */
import { bytesSource } from './byte-io.ts';
import { WavReader } from './reader.ts';
import type { WavFormat } from './wav-format.ts';

/** A whole file in memory. */
export interface DecodedWav {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** One array per channel, all of one length; integers as -1 up to just below 1, floats as they are. */
  readonly channels: Float64Array[];
  /** How the samples are stored. */
  readonly format: WavFormat;
  /** The header promises more samples than the file has. */
  readonly truncated: boolean;
}

/**
 * Decodes a whole file. Memory: 8 bytes per sample that the file has, whatever its header claims.
 *
 * @throws WavError if the header is broken, cut off or of an unsupported kind
 */
export function decodeWav(bytes: Uint8Array): DecodedWav {
  const reader = new WavReader(bytesSource(bytes));
  const channels: Float64Array[] = [];
  for (let c = 0; c < reader.channels; c++) channels.push(new Float64Array(reader.frames));
  reader.read(0, channels);
  return { sampleRateHz: reader.sampleRateHz, channels, format: reader.format, truncated: reader.truncated };
}
