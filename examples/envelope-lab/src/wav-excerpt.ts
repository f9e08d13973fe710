/**
 * The beginning of a WAV file of any length: only as much of it as is wanted is ever read.
 * @module
 */
import { type ByteSource, WavReader } from 'batterhead/wav';
import { EXCERPT_SECONDS, MOST_CHANNELS, type OpenedFile } from './opened-file.ts';

/** Room for the header and what may stand in front of the samples. */
const HEADER_BYTES = 1 << 20;
/** Most bytes of samples: ten seconds of two channels, and of many more at usual rates. */
const MOST_BYTES = 64 << 20;

/** Whether bytes begin as a WAV file does: RIFF, RF64 or BW64, then WAVE. */
export function looksLikeWav(begin: Uint8Array): boolean {
  const text = String.fromCharCode(...begin.subarray(0, 12));
  return /^(RIFF|RF64|BW64)/.test(text) && text.endsWith('WAVE');
}

/** @throws WavError of the library for a broken header, Error for a file without samples */
export async function openWav(file: Blob): Promise<OpenedFile> {
  const { format, frames, channels, sampleRateHz } = new WavReader(await beginOf(file, HEADER_BYTES));
  const bytesPerFrame = (format.bitsPerSample / 8) * channels;
  const count = Math.min(frames, EXCERPT_SECONDS * sampleRateHz, Math.floor(MOST_BYTES / bytesPerFrame));
  if (count === 0) throw new Error('The file has no samples.');
  const reader = new WavReader(await beginOf(file, HEADER_BYTES + count * bytesPerFrame));
  const all = Array.from({ length: channels }, () => new Float32Array(count));
  reader.read(0, all);
  return {
    sound: { sampleRateHz, channels: all.slice(0, MOST_CHANNELS) },
    seconds: frames / sampleRateHz,
    channelsInFile: channels,
    resampled: false,
  };
}

/** A source as long as the file, of which the first bytes are there. */
async function beginOf(file: Blob, length: number): Promise<ByteSource> {
  const bytes = new Uint8Array(await file.slice(0, length).arrayBuffer());
  return {
    size: file.size,
    read(offset, into, wanted) {
      const part = bytes.subarray(offset, offset + Math.min(wanted, into.length));
      into.set(part);
      return part.length;
    },
  };
}
