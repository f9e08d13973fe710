/**
 * What a writer is told, checked and completed.
 *
 * @module
 */
import { nearestName, requireInteger } from '../core/check.ts';
import { TriangularDither } from './dither.ts';
import type { HeaderFields } from './header-writer.ts';
import { type SampleEncoder, sampleEncoder } from './sample-codec.ts';
import { MAX_BYTES_PER_FRAME, MAX_SAMPLE_RATE_HZ, type SampleEncoding } from './wav-format.ts';

/** What kind of file to write. */
export interface WavWriterOptions {
  /** Whole number, 1 to 1536000. */
  readonly sampleRateHz: number;
  /** 1 or more, at most 65535 bytes per frame in all. */
  readonly channels: number;
  /** `integer` unless given. */
  readonly encoding?: SampleEncoding;
  /** 8, 16, 24 or 32 for integers, 24 unless given; 32 or 64 for floats, 32 unless given. */
  readonly bitsPerSample?: number;
  /** Loudspeaker of each channel, one bit each. Centre for 1 channel, left and right for 2, else unassigned (0). */
  readonly channelMask?: number;
  /** Triangular dither for integers. On for 8, 16 and 24 bits unless given. Floats have none. */
  readonly dither?: boolean;
  /** Seed of the dither, a whole number from 0 to 2^53 - 1; 1 unless given. */
  readonly seed?: number;
}

const optionNames = ['sampleRateHz', 'channels', 'encoding', 'bitsPerSample', 'channelMask', 'dither', 'seed'];

/** @throws TypeError for an unknown option, encoding or a wrong type; RangeError for a value out of range */
export function resolveFields(options: WavWriterOptions): HeaderFields {
  for (const name in options) {
    if (!optionNames.includes(name)) {
      throw new TypeError(`WavWriter: ${name} is unknown; the nearest name is ${nearestName(name, optionNames)}`);
    }
  }
  const encoding = options.encoding ?? 'integer';
  if (encoding !== 'integer' && encoding !== 'float') {
    throw new TypeError(`WavWriter: encoding must be integer or float, got ${String(encoding)}`);
  }
  const bitsPerSample = options.bitsPerSample ?? (encoding === 'integer' ? 24 : 32);
  requireEncoder(encoding, bitsPerSample);
  const maxChannels = Math.floor(MAX_BYTES_PER_FRAME / (bitsPerSample / 8));
  const channels = requireInteger('WavWriter: channels', options.channels, 1, maxChannels);
  return {
    encoding,
    bitsPerSample,
    channels,
    sampleRateHz: requireInteger('WavWriter: sampleRateHz', options.sampleRateHz, 1, MAX_SAMPLE_RATE_HZ),
    channelMask: requireInteger('WavWriter: channelMask', options.channelMask ?? usualMask(channels), 0, 0xffff_ffff),
  };
}

/** @throws RangeError if integers or floats do not come in that size */
export function requireEncoder(encoding: SampleEncoding, bitsPerSample: number): SampleEncoder {
  const encoder = sampleEncoder(encoding, bitsPerSample);
  if (encoder) return encoder;
  const expected = encoding === 'integer' ? '8, 16, 24 or 32 for integers' : '32 or 64 for floats';
  throw new RangeError(`WavWriter: bitsPerSample must be ${expected}, got ${bitsPerSample}`);
}

/** The dither that the options ask for; undefined for none. */
export function resolveDither(
  options: WavWriterOptions,
  { encoding, bitsPerSample }: HeaderFields,
): TriangularDither | undefined {
  const seed = requireInteger('WavWriter: seed', options.seed ?? 1, 0, Number.MAX_SAFE_INTEGER);
  const dither = options.dither ?? bitsPerSample < 32;
  if (typeof dither !== 'boolean') throw new TypeError(`WavWriter: dither must be a boolean, got ${String(dither)}`);
  return encoding === 'integer' && dither ? new TriangularDither(seed) : undefined;
}

/** Front centre, or front left and right. More channels may be microphones as well as loudspeakers: 0 assigns none. */
function usualMask(channels: number): number {
  return channels === 1 ? 4 : channels === 2 ? 3 : 0;
}
