/**
 * Loud sections: where a track is judged, and listened to.
 *
 * A track is cut into slices of 3 s, the length of short-term loudness (EBU Tech 3341); the louder half of those that are
 * not silent counts. Verses, breaks and fades of one track are thus not compared with the choruses of another.
 *
 * @module
 */
import { LoudnessMeter } from '../meters/loudness.ts';
import { readSection, type Recording, requireRecording, type Section } from './recording.ts';

const SLICE_SECONDS = 3;

/** The louder half of a recording's slices, in their order; the whole where it is shorter than a slice. */
export function loudSections(recording: Recording): Section[] {
  const { sampleRateHz, channels } = recording;
  const frames = requireRecording('loudSections', recording);
  const size = Math.round(SLICE_SECONDS * sampleRateHz);
  const whole = [{ start: 0, end: frames }];
  if (frames < size) return whole;
  const slices = Array.from({ length: Math.floor(frames / size) }, (_, i) => ({
    start: i * size,
    end: (i + 1) * size,
  }));
  const meter = new LoudnessMeter({ sampleRateHz, channels: channels.length });
  const loudness = slices.map((slice) => {
    meter.reset();
    readSection(recording, slice, (piece) => {
      meter.process(piece);
    });
    return meter.integratedLufs;
  });
  const sounding = loudness.filter(Number.isFinite).sort((a, b) => a - b);
  if (sounding.length === 0) return whole;
  const middle = sounding[Math.floor(sounding.length / 2)];
  return slices.filter((_, i) => loudness[i] >= middle);
}
