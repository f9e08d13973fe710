/**
 * Loud sections: where a track is judged, and listened to.
 *
 * A track is cut into slices of 3 s, the length of short-term loudness (EBU Tech 3341); the louder half of those that are
 * not silent counts. Verses, breaks and fades of one track are thus not compared with the choruses of another.
 *
 * @module
 */
import { requireFormat, requireShape } from '../core/pieces.ts';
import { measureLoudness } from '../meters/loudness.ts';

/** A recording in memory. */
export interface Recording {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** An array per channel, all of one length. */
  readonly channels: readonly Float32Array[] | readonly Float64Array[];
}

const SLICE_SECONDS = 3;

/** Returns the length of a recording, or throws unless it is one. */
export function requireRecording(owner: string, { sampleRateHz, channels }: Recording): number {
  requireFormat(owner, { sampleRateHz, channels: channels.length });
  return requireShape(owner, 'channels', channels, channels.length);
}

/** Views of some frames of every channel. */
export function cut({ sampleRateHz, channels }: Recording, start: number, end: number): Recording {
  return { sampleRateHz, channels: (channels as readonly Float64Array[]).map((x) => x.subarray(start, end)) };
}

/** The louder half of a recording's slices, in their order; the whole where it is shorter than a slice. */
export function loudSections(recording: Recording): Recording[] {
  const frames = requireRecording('loudSections', recording);
  const size = Math.round(SLICE_SECONDS * recording.sampleRateHz);
  if (frames < size) return [recording];
  const slices = Array.from({ length: Math.floor(frames / size) }, (_, i) => cut(recording, i * size, (i + 1) * size));
  const loudness = slices.map(({ channels, sampleRateHz }) => measureLoudness(channels, sampleRateHz));
  const sounding = loudness.filter(Number.isFinite).sort((a, b) => a - b);
  if (sounding.length === 0) return [recording];
  const middle = sounding[Math.floor(sounding.length / 2)];
  return slices.filter((_, i) => loudness[i] >= middle);
}
