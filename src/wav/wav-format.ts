/**
 * What is inside a WAV file: names, numbers and limits that reader and writer share.
 *
 *     "RIFF" u32 size  "WAVE"
 *       id[4] u32 size  bytes...  (one zero byte more if size is odd; size counts neither it nor the 8 bytes)
 *       "fmt " ...      how a sample is written: before "data"
 *       "data" ...      frames, channels interleaved, little endian
 *
 * RF64 and BW64 files have that first word instead of "RIFF", FFFFFFFFh for sizes that do not fit 32 bits, and a first
 * chunk "ds64" with the sizes as 64-bit numbers.
 *
 * Sources: IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0", 1991; Microsoft,
 * "Multiple Channel Audio Data and WAVE Files" (WAVEFORMATEXTENSIBLE); EBU Tech 3306 (RF64); ITU-R BS.2088 (BW64).
 *
 * @module
 */

/** Whole numbers, full scale at +-2^(bits-1), or IEEE 754 numbers, full scale at +-1. */
export type SampleEncoding = 'integer' | 'float';

/** How the samples of a file are written. */
export interface WavFormat {
  /** Kind and width of a sample. */
  readonly encoding: SampleEncoding;
  /** Size of the container: 8, 16, 24 or 32 for integers, 32 or 64 for floats. 8-bit integers are unsigned. */
  readonly bitsPerSample: number;
  /** Bits that carry signal, from the top of the container down; the rest should be zero. */
  readonly validBits: number;
  /** Loudspeaker of each channel, one bit each (front left 1, front right 2, front centre 4, ...), if the file says. */
  readonly channelMask?: number;
}

/** Format tags of the "fmt " chunk. */
export const TAG_INTEGER = 1;
export const TAG_FLOAT = 3;
export const TAG_EXTENSIBLE = 0xfffe;

/** What follows the 16-bit tag in the format GUID of an extensible file: {0000tag-0000-0010-8000-00AA00389B71}. */
export const GUID_TAIL = '000000001000800000aa00389b71';

/** In a 32-bit size field: not known yet, or too large; then "ds64" has it. */
export const SIZE_ELSEWHERE = 0xffff_ffff;

/** 32 times 48 kHz: above every rate that audio is kept at; a header that says more is damaged. */
export const MAX_SAMPLE_RATE_HZ = 1_536_000;

/** Bytes of a frame are a 16-bit field. */
export const MAX_BYTES_PER_FRAME = 0xffff;

/** Samples that are converted at a time: bounds all scratch memory (a frame of more channels is one piece). */
export const PIECE_SAMPLES = 8192;

/** A file that cannot be read; the message says what is wrong, where, and what was expected. */
export class WavError extends Error {
  /** `WavError`. */
  override readonly name = 'WavError';
  /** Position of the faulty field, counted from the start of the file. */
  readonly byteOffset: number;

  constructor(byteOffset: number, fault: string) {
    super(`WavReader: at byte ${byteOffset}: ${fault}`);
    this.byteOffset = byteOffset;
  }
}
