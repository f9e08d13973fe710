/**
 * Recordings as they are compared: read in pieces, so that memory does not grow with their length.
 * @module
 */
import { INPUT_LIMIT, requireFormat } from '../core/pieces.ts';
import { type Samples, type SampleSource, sourceOf } from '../core/sample-source.ts';

/** A recording that can be read again and again. */
export interface Recording {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** A source per channel, all of one length. */
  readonly channels: readonly SampleSource[];
}

/** Frames of a recording, `end` not included. */
export interface Section {
  readonly start: number;
  readonly end: number;
}

const PIECE = 16_384;

/** A recording in memory. */
export function recordingOf(sampleRateHz: number, channels: readonly Samples[]): Recording {
  return { sampleRateHz, channels: channels.map(sourceOf) };
}

/** Returns the length of a recording in frames. @throws TypeError or RangeError unless it is one */
export function requireRecording(owner: string, { sampleRateHz, channels }: Recording): number {
  requireFormat(owner, { sampleRateHz, channels: channels.length });
  const [{ frames }] = channels;
  channels.forEach((channel, c) => {
    if (channel.frames === frames) return;
    throw new RangeError(`${owner}: channels[${c}] must have ${frames} frames, as the first, got ${channel.frames}`);
  });
  return frames;
}

/** Hands a section on, piece by piece; the arrays are used again. Samples that are not finite are 0. */
export function readSection(
  { channels }: Recording,
  { start, end }: Section,
  take: (piece: readonly Float64Array[]) => void,
): void {
  const arrays = channels.map(() => new Float64Array(Math.min(PIECE, Math.max(0, end - start))));
  for (let at = start; at < end; at += PIECE) {
    const count = Math.min(PIECE, end - at);
    const piece = arrays.map((x) => x.subarray(0, count));
    channels.forEach((channel, c) => {
      const x = piece[c];
      channel.read(at, x);
      for (let i = 0; i < count; i++) if (!(Math.abs(x[i]) <= INPUT_LIMIT)) x[i] = 0;
    });
    take(piece);
  }
}

/** A section in memory. */
export function sectionOf(recording: Recording, { start, end }: Section): Float64Array[] {
  const whole = recording.channels.map(() => new Float64Array(end - start));
  let at = 0;
  readSection(recording, { start, end }, (piece) => {
    piece.forEach((x, c) => {
      whole[c].set(x, at);
    });
    at += piece[0].length;
  });
  return whole;
}
