/**
 * WAV files: bytes in, samples out, and back. No file access: a {@link ByteSource} or {@link ByteSink} stands for it.
 *
 * @module
 */
export { type ByteSink, type ByteSource, bytesSource, BytesSink } from './byte-io.ts';
export { type DecodedWav, decodeWav } from './decode-wav.ts';
export { type EncodeWavOptions, encodeWav } from './encode-wav.ts';
export { WavReader } from './reader.ts';
export { type SampleEncoding, WavError, type WavFormat } from './wav-format.ts';
export { type WavSummary, WavWriter } from './writer.ts';
export type { WavWriterOptions } from './writer-options.ts';
