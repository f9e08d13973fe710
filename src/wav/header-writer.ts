/**
 * The bytes in front of the samples. Their number depends on the format only, so a writer can put them down first and
 * overwrite them when it knows the length:
 *
 *     RIFF header 12 | JUNK 36: becomes ds64 if 32 bits do not hold the sizes | fmt 24 or 48 | fact 12: floats | data 8
 *
 * Plain tag 1 for up to 16-bit integers of one or two channels, extensible for all else, as Microsoft recommends.
 *
 * Sources: EBU Tech 3306, section 3 (RF64 and the JUNK placeholder); Microsoft, "Multiple Channel Audio Data and WAVE
 * Files".
 *
 * @module
 */
import {
  GUID_TAIL,
  type SampleEncoding,
  SIZE_ELSEWHERE,
  TAG_EXTENSIBLE,
  TAG_FLOAT,
  TAG_INTEGER,
} from './wav-format.ts';

/** What a header is made from. */
export interface HeaderFields {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly encoding: SampleEncoding;
  readonly bitsPerSample: number;
  readonly channelMask: number;
}

const DS64_BYTES = 28;

/**
 * @param frames - length; undefined if it is not known: the sizes then say FFFFFFFFh, "to the end of the file"
 * @returns all bytes before the first sample
 */
export function wavHeader(fields: HeaderFields, frames?: number): Uint8Array {
  const { channels, bitsPerSample, encoding } = fields;
  const extensible = encoding === 'float' || bitsPerSample > 16 || channels > 2;
  const header = new FieldWriter(12 + 8 + DS64_BYTES + (extensible ? 48 : 24) + (encoding === 'float' ? 12 : 0) + 8);

  const bytesPerFrame = (channels * bitsPerSample) / 8;
  const dataSize = (frames ?? 0) * bytesPerFrame;
  const riffSize = header.length - 8 + dataSize + (dataSize % 2);
  // FFFFFFFFh itself means something else, so the largest size is one less.
  const large = frames !== undefined && riffSize >= SIZE_ELSEWHERE;
  const open = large || frames === undefined;
  const riffField = open ? SIZE_ELSEWHERE : riffSize;
  const dataField = open ? SIZE_ELSEWHERE : dataSize;

  header
    .text(large ? 'RF64' : 'RIFF')
    .u32(riffField)
    .text('WAVE');
  header.text(large ? 'ds64' : 'JUNK').u32(DS64_BYTES);
  if (large) header.u64(riffSize).u64(dataSize).u64(frames).u32(0);
  else header.skip(DS64_BYTES);
  writeFormat(header, fields, extensible);
  const factFrames = Math.min(frames ?? SIZE_ELSEWHERE, SIZE_ELSEWHERE);
  if (encoding === 'float') header.text('fact').u32(4).u32(factFrames);
  header.text('data').u32(dataField);
  return header.bytes;
}

function writeFormat(header: FieldWriter, fields: HeaderFields, extensible: boolean): void {
  const { channels, sampleRateHz, bitsPerSample, channelMask } = fields;
  const tag = fields.encoding === 'float' ? TAG_FLOAT : TAG_INTEGER;
  const bytesPerFrame = (channels * bitsPerSample) / 8;
  // Redundant, so that a rate too high for its 32 bits may stop at the largest number.
  const bytesPerSecond = Math.min(sampleRateHz * bytesPerFrame, SIZE_ELSEWHERE);
  header.text('fmt ').u32(extensible ? 40 : 16);
  header.u16(extensible ? TAG_EXTENSIBLE : tag).u16(channels);
  header.u32(sampleRateHz).u32(bytesPerSecond).u16(bytesPerFrame).u16(bitsPerSample);
  if (extensible) header.u16(22).u16(bitsPerSample).u32(channelMask).u16(tag).hex(GUID_TAIL);
}

/** Little-endian fields one after the other. */
class FieldWriter {
  readonly bytes: Uint8Array;
  readonly #view: DataView;
  #at = 0;

  constructor(length: number) {
    this.bytes = new Uint8Array(length);
    this.#view = new DataView(this.bytes.buffer);
  }

  get length(): number {
    return this.bytes.length;
  }

  text(id: string): this {
    for (let i = 0; i < id.length; i++) this.bytes[this.#at++] = id.charCodeAt(i);
    return this;
  }

  hex(digits: string): this {
    for (let i = 0; i < digits.length; i += 2) this.bytes[this.#at++] = parseInt(digits.slice(i, i + 2), 16);
    return this;
  }

  u16(value: number): this {
    this.#view.setUint16(this.#at, value, true);
    return this.skip(2);
  }

  u32(value: number): this {
    this.#view.setUint32(this.#at, value, true);
    return this.skip(4);
  }

  u64(value: number): this {
    return this.u32(value % 0x1_0000_0000).u32(Math.floor(value / 0x1_0000_0000));
  }

  skip(count: number): this {
    this.#at += count;
    return this;
  }
}
