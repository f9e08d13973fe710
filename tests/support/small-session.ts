/**
 * A session of three seconds that uses whatever a plan has: kick and snare with bleed, the lower microphone of the snare
 * late and inverted, references, other instruments - and names that a page must not take for its own.
 */
import { join } from 'node:path';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { noise, sine } from './signals.ts';

export const RATE = 48_000;
export const EVIL = '<img src=x onerror=alert(1)>';

const SECONDS = 3;
const LATE = 24; // samples, half a millisecond

/** A hit that dies away, at each of the times. */
function hits(secondsOf: readonly number[], sound: (n: number) => number, lateSamples = 0): Float64Array {
  const x = new Float64Array(SECONDS * RATE);
  for (const at of secondsOf) {
    const start = Math.round(at * RATE) + lateSamples;
    for (let n = 0; n < 0.3 * RATE && start + n < x.length; n++) x[start + n] += sound(n);
  }
  return x;
}

const mixed = (...parts: readonly (readonly [Float64Array, number])[]) =>
  parts[0][0].map((_, i) => parts.reduce((sum, [x, gain]) => sum + gain * x[i], 0));

/** Writes the files into `folder` and returns the plan. */
export function smallSession(folder: string) {
  const click = noise(RATE, 3);
  const kickAt = [0.2, 0.7, 1.2, 1.7, 2.2],
    snareAt = [0.45, 0.95, 1.45, 1.95, 2.45];
  const kick = hits(kickAt, (n) => 0.8 * Math.exp(-n / 4000) * Math.sin((2 * Math.PI * 60 * n) / RATE));
  const snare = hits(snareAt, (n) => 0.6 * Math.exp(-n / 2500) * click[n]);
  const below = hits(snareAt, (n) => -0.5 * Math.exp(-n / 2500) * click[n], LATE);
  const write = (name: string, ...channels: Float64Array[]) => {
    writeWavFile(join(folder, name), channels, { sampleRateHz: RATE });
  };
  write('kick.wav', mixed([kick, 1], [snare, 0.05]));
  write(`${EVIL}.wav`, mixed([snare, 1], [kick, 0.05]));
  write('bottom.wav', below);
  write('bass.wav', sine(SECONDS * RATE, 70, RATE, 0.5));
  write('guitars.wav', noise(SECONDS * RATE, 5, 0.02), noise(SECONDS * RATE, 6, 0.02));
  for (const [r, level] of [0.5, 0.2].entries()) {
    const song = mixed([kick, level], [snare, level], [noise(SECONDS * RATE, 7 + r), 0.02 * level]);
    write(`reference-${r}.wav`, song, song);
  }
  return {
    version: 1,
    inputs: {
      kick: { file: 'kick.wav', role: EVIL },
      top: { file: `${EVIL}.wav` },
      bottom: { file: 'bottom.wav' },
    },
    alignment: { drums: { [`snare ${EVIL}`]: ['top', 'bottom'] } },
    hits: {
      drums: {
        [`snare ${EVIL}`]: { microphone: 'top', kind: 'snare' },
        kick: { microphone: 'kick', kind: 'kick' },
      },
    },
    channels: {
      kick: { input: 'kick', output: 'drums', chain: [{ type: 'gate', thresholdDb: -30, key: { hits: 'kick' } }] },
      top: {
        input: 'top',
        output: 'drums',
        pan: -0.2,
        chain: [{ type: 'compressor', thresholdDb: -20, makeupDb: 3 }],
        sends: [{ to: 'space', gainDb: -12, highpassHz: 150 }],
      },
      bottom: { input: 'bottom', output: 'drums', gainDb: -6 },
    },
    buses: {
      drums: {
        chain: [
          { type: 'bandSplit', firstHz: 300, bands: [{ chain: [{ type: 'gain', gainDb: 1 }] }, {}] },
          { type: 'equaliser', bands: [{ type: 'highShelf', frequencyHz: 6000, gainDb: 5 }] },
        ],
      },
      space: { chain: [{ type: 'schroederReverb', decaySeconds: 0.3 }] },
    },
    mixBus: { chain: [{ type: 'limiter', ceilingDb: -3 }] },
    references: [{ file: 'reference-0.wav' }, { file: 'reference-1.wav', startSeconds: 0.4, endSeconds: 2.9 }],
    context: { bass: { file: 'bass.wav' }, guitars: { file: 'guitars.wav', gainDb: -3 } },
    output: { file: 'mix.wav' },
  };
}
