/**
 * Samples as bytes and back, all little endian: one plain loop per encoding, chosen once per file.
 *
 * Integers of b bits stand for x = n / 2^(b-1), so 16-bit -32768 is exactly -1 and 32767 is 0.999969...; 8-bit bytes
 * are unsigned, 128 is zero. Floats stand for themselves and may exceed +-1. Every integer up to 32 bits and every
 * float is exact in the Float64 samples used here.
 *
 * @module
 */
import type { SampleEncoding } from './wav-format.ts';

/** Turns the first `count` samples in `bytes` into numbers. */
export type SampleDecoder = (bytes: DataView, count: number, samples: Float64Array) => void;

/** Writes the first `count` samples to `bytes`. Integer encoders expect whole numbers within their range. */
export type SampleEncoder = (samples: Float64Array, count: number, bytes: DataView) => void;

/** Value of n that stands for x = 1: 2^(bits-1). */
export function fullScale(bitsPerSample: number): number {
  let scale = 1;
  for (let bit = 1; bit < bitsPerSample; bit++) scale *= 2;
  return scale;
}

/** Decoder for an encoding, or undefined if there is no such encoding. */
export function sampleDecoder(encoding: SampleEncoding, bitsPerSample: number): SampleDecoder | undefined {
  switch (`${encoding} ${bitsPerSample}`) {
    case 'integer 8':
      return decodeInteger8;
    case 'integer 16':
      return decodeInteger16;
    case 'integer 24':
      return decodeInteger24;
    case 'integer 32':
      return decodeInteger32;
    case 'float 32':
      return decodeFloat32;
    case 'float 64':
      return decodeFloat64;
    default:
      return undefined;
  }
}

/** Encoder for an encoding, or undefined if there is no such encoding. */
export function sampleEncoder(encoding: SampleEncoding, bitsPerSample: number): SampleEncoder | undefined {
  switch (`${encoding} ${bitsPerSample}`) {
    case 'integer 8':
      return encodeInteger8;
    case 'integer 16':
      return encodeInteger16;
    case 'integer 24':
      return encodeInteger24;
    case 'integer 32':
      return encodeInteger32;
    case 'float 32':
      return encodeFloat32;
    case 'float 64':
      return encodeFloat64;
    default:
      return undefined;
  }
}

/**
 * Multiplies by `scale`, so that a step between integers is 1; what is not finite becomes 0.
 *
 * @returns how many samples were not finite
 */
export function toSteps(samples: Float64Array, count: number, scale: number): number {
  let nonFinite = 0;
  for (let i = 0; i < count; i++) {
    if (Number.isFinite(samples[i])) samples[i] *= scale;
    else {
      samples[i] = 0;
      nonFinite++;
    }
  }
  return nonFinite;
}

/**
 * Rounds to nearest and saturates at the largest and smallest integer: it never wraps.
 *
 * @param scale - {@link fullScale} of the integers
 * @returns how many samples were saturated
 */
export function quantise(samples: Float64Array, count: number, scale: number): number {
  let clipped = 0;
  for (let i = 0; i < count; i++) {
    let n = Math.floor(samples[i] + 0.5);
    if (n > scale - 1) {
      n = scale - 1;
      clipped++;
    } else if (n < -scale) {
      n = -scale;
      clipped++;
    }
    samples[i] = n;
  }
  return clipped;
}

function decodeInteger8(bytes: DataView, count: number, samples: Float64Array): void {
  for (let i = 0; i < count; i++) samples[i] = (bytes.getUint8(i) - 128) / 0x80;
}

function decodeInteger16(bytes: DataView, count: number, samples: Float64Array): void {
  for (let i = 0; i < count; i++) samples[i] = bytes.getInt16(2 * i, true) / 0x8000;
}

function decodeInteger24(bytes: DataView, count: number, samples: Float64Array): void {
  for (let i = 0; i < count; i++) {
    samples[i] = (bytes.getUint16(3 * i, true) | (bytes.getInt8(3 * i + 2) << 16)) / 0x80_0000;
  }
}

function decodeInteger32(bytes: DataView, count: number, samples: Float64Array): void {
  for (let i = 0; i < count; i++) samples[i] = bytes.getInt32(4 * i, true) / 0x8000_0000;
}

function decodeFloat32(bytes: DataView, count: number, samples: Float64Array): void {
  for (let i = 0; i < count; i++) samples[i] = bytes.getFloat32(4 * i, true);
}

function decodeFloat64(bytes: DataView, count: number, samples: Float64Array): void {
  for (let i = 0; i < count; i++) samples[i] = bytes.getFloat64(8 * i, true);
}

function encodeInteger8(samples: Float64Array, count: number, bytes: DataView): void {
  for (let i = 0; i < count; i++) bytes.setUint8(i, samples[i] + 128);
}

function encodeInteger16(samples: Float64Array, count: number, bytes: DataView): void {
  for (let i = 0; i < count; i++) bytes.setInt16(2 * i, samples[i], true);
}

function encodeInteger24(samples: Float64Array, count: number, bytes: DataView): void {
  for (let i = 0; i < count; i++) {
    const n = samples[i] | 0;
    bytes.setUint16(3 * i, n & 0xffff, true);
    bytes.setInt8(3 * i + 2, n >> 16);
  }
}

function encodeInteger32(samples: Float64Array, count: number, bytes: DataView): void {
  for (let i = 0; i < count; i++) bytes.setInt32(4 * i, samples[i], true);
}

function encodeFloat32(samples: Float64Array, count: number, bytes: DataView): void {
  for (let i = 0; i < count; i++) bytes.setFloat32(4 * i, samples[i], true);
}

function encodeFloat64(samples: Float64Array, count: number, bytes: DataView): void {
  for (let i = 0; i < count; i++) bytes.setFloat64(8 * i, samples[i], true);
}
