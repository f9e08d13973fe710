/**
 * The "fmt " chunk: how a sample is written.
 *
 *     0 u16 tag       2 u16 channels      4 u32 sample rate     8 u32 bytes per second
 *     12 u16 bytes per frame              14 u16 bits           16 bytes: integers; 18 with an extension size of 0
 *     16 u16 22       18 u16 valid bits   20 u32 channel mask   24 GUID[16]: tag + fixed tail      40 bytes: extensible
 *
 * Bytes per second is not looked at: it follows from the rest, and files that have it wrong play everywhere.
 *
 * @module
 */
import {
  GUID_TAIL,
  MAX_SAMPLE_RATE_HZ,
  TAG_EXTENSIBLE,
  TAG_FLOAT,
  TAG_INTEGER,
  WavError,
  type WavFormat,
} from './wav-format.ts';

/** A "fmt " chunk understood. */
export interface FormatChunk {
  readonly format: WavFormat;
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly bytesPerFrame: number;
}

/** Bytes of the chunk that are looked at; a longer one is legal. */
export const FORMAT_CHUNK_BYTES = 40;

/**
 * @param chunk - the first bytes of the chunk's content, at most {@link FORMAT_CHUNK_BYTES}
 * @param offset - position of that content in the file
 * @param size - size of the content
 * @throws WavError if the chunk contradicts itself or describes something that is not supported
 */
export function parseFormatChunk(chunk: DataView, offset: number, size: number): FormatChunk {
  if (size < 16) throw new WavError(offset - 4, `size of the "fmt " chunk must be 16 or more, got ${size}`);
  const outerTag = chunk.getUint16(0, true);
  const channels = chunk.getUint16(2, true);
  const sampleRateHz = chunk.getUint32(4, true);
  const bytesPerFrame = chunk.getUint16(12, true);
  const bits = chunk.getUint16(14, true);
  const extensible = outerTag === TAG_EXTENSIBLE;
  if (extensible && size < 40) {
    throw new WavError(offset - 4, `size of an extensible "fmt " chunk must be 40 or more, got ${size}`);
  }
  const tag = extensible ? guidTag(chunk, offset + 24) : outerTag;
  if (tag !== TAG_INTEGER && tag !== TAG_FLOAT) {
    throw new WavError(offset + (extensible ? 24 : 0), `format tag must be 1 (integer) or 3 (float), got ${tag}`);
  }
  if (channels < 1) throw new WavError(offset + 2, 'number of channels must be 1 or more, got 0');
  if (sampleRateHz < 1 || sampleRateHz > MAX_SAMPLE_RATE_HZ) {
    throw new WavError(offset + 4, `sample rate must be 1 to ${MAX_SAMPLE_RATE_HZ} Hz, got ${sampleRateHz}`);
  }
  const encoding = tag === TAG_FLOAT ? 'float' : 'integer';
  if (encoding === 'float' ? bits !== 32 && bits !== 64 : bits < 1 || bits > 32) {
    const expected = encoding === 'float' ? '32 or 64 for floats' : '1 to 32 for integers';
    throw new WavError(offset + 14, `bits per sample must be ${expected}, got ${bits}`);
  }
  const bytesPerSample = Math.ceil(bits / 8);
  if (bytesPerFrame !== channels * bytesPerSample) {
    const expected = `${channels * bytesPerSample} (${channels} channels of ${bytesPerSample} bytes)`;
    throw new WavError(offset + 12, `bytes per frame must be ${expected}, got ${bytesPerFrame}`);
  }
  // Writers that leave the field at 0 mean all of them.
  const validBits = (extensible && chunk.getUint16(18, true)) || bits;
  if (validBits > bits) throw new WavError(offset + 18, `valid bits must be at most ${bits}, got ${validBits}`);
  const format = { encoding, bitsPerSample: 8 * bytesPerSample, validBits } as const;
  return {
    format: extensible ? { ...format, channelMask: chunk.getUint32(20, true) } : format,
    sampleRateHz,
    channels,
    bytesPerFrame,
  };
}

/** The tag that begins the GUID at `offset` of the file, position 24 of the chunk. */
function guidTag(chunk: DataView, offset: number): number {
  let tail = '';
  for (let i = 26; i < 40; i++) tail += chunk.getUint8(i).toString(16).padStart(2, '0');
  if (tail !== GUID_TAIL) throw new WavError(offset + 2, `format GUID must end in ${GUID_TAIL}, got ${tail}`);
  return chunk.getUint16(24, true);
}
