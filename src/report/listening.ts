/**
 * Listening pair: the same moment of the mix and of the unprocessed mix, equally loud, as small WAV files.
 *
 * The excerpt lies around the loudest hit of the mix. It is quiet, fades in slowly, and no louder than keeps the higher of
 * both peaks below full scale. Rates above 48 kHz come down to it, so that the size is bounded.
 *
 * @module
 */
import { excerptOf } from '../comparison/excerpts.ts';
import { type Recording, requireRecording } from '../comparison/recording.ts';
import { dbToGain, gainToDb } from '../core/decibels.ts';
import { resample } from '../filters/resampler.ts';
import { encodeWav } from '../wav/encode-wav.ts';

/** What both sounds are, before anybody plays them. */
export interface ListeningPair {
  /** Where in the mix the excerpt begins. */
  readonly startSeconds: number;
  /** How long it is. */
  readonly seconds: number;
  /** Of each of the two. */
  readonly loudnessLufs: number;
  /** WAV file of 16 bits. */
  readonly mix: Uint8Array;
  /** WAV file of 16 bits. */
  readonly unprocessed: Uint8Array;
}

const SECONDS = 8;
const FADE_IN_SECONDS = 1;
/** Loudness unless the peaks ask for less: quiet, since somebody will put it on headphones (EBU R 128). */
const LOUDNESS_LUFS = -23;
const HIGHEST_PEAK_DB = -1;
const HIGHEST_RATE_HZ = 48_000;

/** Cuts the pair; undefined where one of both has no loudness there. Both must have one format. */
export function listeningPair(mix: Recording, unprocessed: Recording): ListeningPair | undefined {
  const frames = Math.min(requireRecording('listeningPair', mix), requireRecording('listeningPair', unprocessed));
  const options = { seconds: SECONDS, loudnessLufs: LOUDNESS_LUFS, fadeInSeconds: FADE_IN_SECONDS };
  const { sampleRateHz } = mix;
  const length = Math.min(frames, Math.round(SECONDS * sampleRateHz));
  const both = ifLoud(() => {
    const after = excerptOf(mix, options);
    const startSample = Math.min(after.startSample, frames - length);
    return { after, before: excerptOf(unprocessed, { ...options, startSample }), startSample };
  });
  if (!both) return undefined;
  const { after, before, startSample } = both;
  const peakDb = gainToDb([after, before].flatMap(({ channels }) => channels).reduce(highest, 0));
  const lowerDb = Math.min(0, HIGHEST_PEAK_DB - peakDb);
  const encode = (channels: readonly Float32Array[]) => wavOf(channels, sampleRateHz, dbToGain(lowerDb));
  return {
    startSeconds: startSample / sampleRateHz,
    seconds: length / sampleRateHz,
    loudnessLufs: LOUDNESS_LUFS + lowerDb,
    mix: encode(after.channels),
    unprocessed: encode(before.channels),
  };
}

/** Nothing where an excerpt has no loudness to be matched by. */
function ifLoud<T>(cut: () => T): T | undefined {
  try {
    return cut();
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function highest(most: number, x: Float32Array): number {
  for (let i = 0; i < x.length; i++) if (Math.abs(x[i]) > most) most = Math.abs(x[i]);
  return most;
}

function wavOf(channels: readonly Float32Array[], sampleRateHz: number, gain: number): Uint8Array {
  const scaled = channels.map((x) => x.map((sample) => gain * sample));
  const rate = Math.min(HIGHEST_RATE_HZ, sampleRateHz);
  const resampled = rate === sampleRateHz ? scaled : resample(scaled, sampleRateHz, rate);
  return encodeWav(resampled, { sampleRateHz: rate, bitsPerSample: 16 });
}
