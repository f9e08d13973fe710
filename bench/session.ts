/**
 * The session: a drum mix of usual size, as a plan.
 *
 *     12 tracks   4 equaliser bands, gate, compressor, soft clipper    each to one of
 *      4 buses    4 equaliser bands, compressor; stereo                and each track to
 *      1 space    reverberation of 8 combs to a side                   all of them to
 *     mix bus     limiter
 */
import { copy } from '../src/core/copy.ts';
import type { MixInput } from '../src/mix/input-reader.ts';
import { parsePlan } from '../src/mix/parse-plan.ts';
import type { MixPlan } from '../src/mix/plan.ts';
import { renderMix, type RenderOptions } from '../src/mix/renderer.ts';
import type { Work } from './contestant.ts';
import { drumSound, RATE_HZ } from './sound.ts';

const BUSES = 4;
export const SESSION_TRACKS = 12;
/** Long enough for what comes before the first sample not to count. */
const RENDERED_SECONDS = 20;

const equaliser = {
  type: 'equaliser',
  bands: [
    { type: 'highpass', frequencyHz: 60 },
    { type: 'peaking', frequencyHz: 400, gainDb: -4 },
    { type: 'peaking', frequencyHz: 4000, gainDb: 3 },
    { type: 'highShelf', frequencyHz: 9000, gainDb: 2 },
  ],
};
const compressor = { type: 'compressor', thresholdDb: -20, ratio: 4 };
/** The cheapest clipper that keeps the alias of a 5 kHz sine, driven by 18 dB, below -67 dBc with a flat phase. */
const clipper = { type: 'softClipper', driveDb: 3, oversampling: 4 };

const names = (stem: string, count: number): string[] => Array.from({ length: count }, (_, i) => `${stem}${i + 1}`);

/** The plan as JSON, with any number of tracks. */
export function sessionJson(tracks = SESSION_TRACKS): object {
  const channel = (name: string, t: number) => ({
    input: name,
    output: `bus${(t % BUSES) + 1}`,
    gainDb: -12,
    pan: ((t % 5) - 2) / 4,
    chain: [equaliser, { type: 'gate', thresholdDb: -30 }, compressor, clipper],
    sends: [{ to: 'space', gainDb: -12 }],
  });
  const tracksByName = names('track', tracks);
  return {
    version: 1,
    inputs: Object.fromEntries(tracksByName.map((name) => [name, { file: `${name}.wav` }])),
    channels: Object.fromEntries(tracksByName.map((name, t) => [name, channel(name, t)])),
    buses: {
      ...Object.fromEntries(names('bus', BUSES).map((name) => [name, { chain: [equaliser, compressor] }])),
      space: { chain: [{ type: 'schroederReverb' }] },
    },
    mixBus: { chain: [{ type: 'limiter' }] },
    output: { file: 'mix.wav' },
  };
}

/** A take of any length: the same second, over and over, made while it is read. */
export function take(seconds: number, seed: number): MixInput {
  const second = drumSound(RATE_HZ, seed);
  return {
    sampleRateHz: RATE_HZ,
    channels: 1,
    frames: seconds * RATE_HZ,
    read: (start, [into], count) => {
      for (let i = 0; i < count;) {
        const at = (start + i) % RATE_HZ,
          run = Math.min(count - i, RATE_HZ - at);
        copy(second, at, into, i, run);
        i += run;
      }
      return count;
    },
  };
}

/** Takes for all inputs of a plan. */
export function takes(plan: MixPlan, seconds: number): Readonly<Record<string, MixInput>> {
  return Object.fromEntries(Object.keys(plan.inputs).map((name, i) => [name, take(seconds, i + 1)]));
}

/** Renders a plan into nothing; a turn is the whole of it, and counts as `channels` channels. */
export function mixWork(json: object, channels = 1, options: RenderOptions = {}): Work {
  const plan = parsePlan(json);
  const inputs = takes(plan, RENDERED_SECONDS);
  const sink = { write: () => {} };
  const { frames } = renderMix(plan, inputs, sink, options);
  return { channels, samplesPerTurn: frames, turn: () => renderMix(plan, inputs, sink, options) };
}

/**
 * Tracks without blocks, each with what is measured: nothing but its way to the mix bus, a send, or a bus of its own.
 */
export function bareMixWork(each: 'track' | 'send' | 'bus'): Work {
  const tracks = names('track', SESSION_TRACKS);
  const buses = names('bus', each === 'bus' ? SESSION_TRACKS : 1);
  const json = {
    version: 1,
    inputs: Object.fromEntries(tracks.map((name) => [name, { file: `${name}.wav` }])),
    channels: Object.fromEntries(
      tracks.map((input, t) => [
        input,
        {
          input,
          ...(each === 'bus' && { output: buses[t] }),
          ...(each === 'send' && { sends: [{ to: buses[0] }] }),
        },
      ]),
    ),
    buses: each === 'track' ? {} : Object.fromEntries(buses.map((name) => [name, {}])),
    output: { file: 'mix.wav' },
  };
  return mixWork(json, SESSION_TRACKS);
}
