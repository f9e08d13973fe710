/**
 * Recorded strokes for the simulated kit: the `drum_*` files of the npm package `supersonic-scsynth-samples`, recordings in
 * the public domain (CC0), decoded, brought to 48 kHz and cut to begin with the blow.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { FLACDecoder } from '@wasm-audio-decoders/flac';

export const RATE_HZ = 48000;
const FOLDER = join(dirname(createRequire(import.meta.url).resolve('supersonic-scsynth-samples')), 'samples');
/** A blow begins where the recording first reaches this share of its peak (-40 dB), less a little. */
export const ONSET_SHARE = 0.01;
export const BEFORE_ONSET_SAMPLES = 24;

/** @typedef {(channels: Float64Array[], fromHz: number, toHz: number) => readonly Float64Array[]} Resample */

/** @type {Record<string, readonly { file: string, velocity: number, stroke?: 'normal' | 'open' | 'pedal' }[]>} */
export const LAYERS = {
  kick: [
    { file: 'bass_soft', velocity: 0.5 },
    { file: 'bass_hard', velocity: 1 },
  ],
  snare: [
    { file: 'snare_soft', velocity: 0.4 },
    { file: 'snare_hard', velocity: 1 },
  ],
  hat: [
    { file: 'cymbal_closed', velocity: 0.8 },
    { file: 'cymbal_open', velocity: 0.8, stroke: 'open' },
    { file: 'cymbal_pedal', velocity: 0.7, stroke: 'pedal' },
  ],
  tom1: [
    { file: 'tom_hi_soft', velocity: 0.5 },
    { file: 'tom_hi_hard', velocity: 1 },
  ],
  tom2: [
    { file: 'tom_lo_soft', velocity: 0.5 },
    { file: 'tom_lo_hard', velocity: 1 },
  ],
  ride: [{ file: 'cymbal_soft', velocity: 0.7 }],
  crashLeft: [
    { file: 'splash_soft', velocity: 0.5 },
    { file: 'splash_hard', velocity: 1 },
  ],
  crashRight: [{ file: 'cymbal_hard', velocity: 1 }],
};

/**
 * The recordings by drum, as `simulateKit` takes them.
 *
 * @param {Resample} resample - that of this package
 * @param {string[]} [drums] - all of them unless given
 */
export async function recordedStrokes(resample, drums = Object.keys(LAYERS)) {
  const decoder = new FLACDecoder();
  await decoder.ready;
  try {
    /** @type {Record<string, { velocity: number, stroke?: 'normal' | 'open' | 'pedal', samples: Float64Array }[]>} */
    const strokes = {};
    for (const drum of drums) {
      strokes[drum] = [];
      for (const { file, ...layer } of LAYERS[drum]) {
        strokes[drum].push({ ...layer, samples: await decode(decoder, file, resample) });
      }
    }
    return strokes;
  } finally {
    decoder.free();
  }
}

/** Where a recording lies. @param {string} file */
export function fileOf(file) {
  return join(FOLDER, `drum_${file}.flac`);
}

/**
 * @param {FLACDecoder} decoder
 * @param {string} file
 * @param {Resample} resample
 * @returns {Promise<Float64Array>} the recording in mono at {@link RATE_HZ}, from its blow on
 */
async function decode(decoder, file, resample) {
  const path = fileOf(file);
  const { channelData, samplesDecoded, sampleRate, errors } = await decoder.decodeFile(readFileSync(path));
  if (errors.length > 0 || samplesDecoded === 0) throw new Error(`${path}: not a readable FLAC file`);
  await decoder.reset();
  const mono = Float64Array.from(
    { length: samplesDecoded },
    (_, n) => channelData.reduce((sum, channel) => sum + channel[n], 0) / channelData.length,
  );
  const [samples] = resample([mono], sampleRate, RATE_HZ);
  const peak = samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  const onset = samples.findIndex((x) => Math.abs(x) >= ONSET_SHARE * peak);
  return samples.slice(Math.max(0, onset - BEFORE_ONSET_SAMPLES));
}
