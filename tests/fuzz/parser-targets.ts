/** What reads foreign input, and how to make such input: a valid one, mutated. */
import { readFileSync } from 'node:fs';
import { hitsFromCsv, hitsToCsv } from '../../src/hits/hits-csv.ts';
import { type HitList, hitListOf, parseHitList } from '../../src/hits/hit-list.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { hitsFromMidi, hitsToMidi } from '../../src/node/midi-hits.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { encodeWav } from '../../src/wav/encode-wav.ts';
import { WavError } from '../../src/wav/wav-format.ts';
import { fromHex } from '../support/wav-bytes.ts';
import { madeScope } from '../worklet/made-scope.ts';
import { type Draw, mutatedBytes, mutatedText, mutatedTree, pick } from './mutations.ts';

/** One reader. */
export interface ParserTarget {
  readonly name: string;
  /** How many inputs it gets, relative to the others: fewer where they take longer. */
  readonly share: number;
  /** Reads a mutated input; throws what the reader throws. */
  readonly read: (draw: Draw) => void;
  /** Whether an error is one that the reader documents. */
  readonly documents: (error: unknown) => boolean;
}

/** What an engine says where the code has gone wrong: no check of ours words it so. */
const ENGINE =
  /Cannot (read|set|convert|mix|create|destructure|redefine|assign|use)|is not (a function|iterable|a constructor|defined|an object)|Invalid (array|typed array|string|Array buffer|DataView)|Maximum call stack|Do not know how|circular structure|species|Reduce of empty|allocation failed|outside the bounds|\bnull or undefined\b/;

const refusal = (error: unknown): boolean =>
  (error instanceof TypeError || error instanceof RangeError) &&
  error.message.length > 10 &&
  !ENGINE.test(error.message);

const { files } = JSON.parse(readFileSync(new URL('../vectors/wav_headers.json', import.meta.url), 'utf8')) as {
  files: Record<string, { hex: string }>;
};
const waves = [
  ...Object.values(files).map(({ hex }) => fromHex(hex)),
  encodeWav([Float32Array.of(0.1, -0.2, 0.3), Float32Array.of(1, -1, 0)], { sampleRateHz: 44_100, bitsPerSample: 24 }),
];

const hit = (drum: string, sample: number) =>
  ({ drum, sample, velocityDb: -12.5, velocity: 87, confidence: 0.9, source: 'detected' }) as const;
const list = hitListOf(
  48_000,
  [hit('kick', 100.25), hit('snare', 4800), hit('kick', 9600)],
  [{ ...hit('snare', 200), reason: 'bleed of kick' }],
  [{ drum: 'kick', sample: 300 }],
);

/** What has been read is a list that can be written and read again. */
function requireOwn(read: HitList): void {
  try {
    parseHitList(JSON.parse(JSON.stringify(read)));
  } catch (error) {
    throw new Error(`what was read is no list: ${(error as Error).message}`, { cause: error });
  }
}

const plans: readonly unknown[] = [
  demoPlan,
  {
    version: 1,
    inputs: { a: { file: 'a.wav', channel: 1, role: 'snare' }, room: { file: 'r.wav' }, ir: { file: 'ir.wav' } },
    alignment: { method: 'off', moves: { a: { delaySamples: -2.5, polarity: -1 } } },
    hits: {
      detection: {},
      drums: {
        snare: {
          microphone: 'a',
          kind: 'snare',
          add: [{ sample: 5, velocityDb: -3 }],
          remove: [70],
          layer: { samples: [{ velocity: 100, files: ['x.wav', 'y.wav'] }], mode: 'replace' },
          bleed: { strength: 2 },
        },
      },
      furtherMicrophones: ['room'],
    },
    channels: {
      a: {
        input: 'a',
        output: 'sum',
        gainDb: -3,
        pan: 0.5,
        chain: [
          { type: 'gate', key: { hits: 'snare', decayMs: 50 }, keyFilter: [{ type: 'highpass', frequencyHz: 100 }] },
          { type: 'bandSplit', firstHz: 200, bands: [{ chain: [{ type: 'compressor', ratio: 2 }] }, { chain: [] }] },
          { type: 'equaliser', bands: [{ type: 'peaking', frequencyHz: 500, gainDb: -3, q: 2 }], bypassed: false },
        ],
        sends: [{ to: 'hall', gainDb: -6, tap: 'preFader', highpassHz: 200 }],
      },
      room: { input: 'room', chain: [{ type: 'compressor', key: 'a' }] },
    },
    buses: { sum: { chain: [{ type: 'limiter' }] }, hall: { chain: [{ type: 'convolutionReverb', impulse: 'ir' }] } },
    mixBus: { gainDb: 1, chain: [{ type: 'limiter', truePeak: true }] },
    automation: [
      { target: 'channels.a.chain[1].bands[0].chain[0].ratio', sample: 10, value: 3 },
      { target: 'channels.a.sends[0].gainDb', sample: 20, value: -60 },
      { target: 'channels.a.chain[2].bypassed', sample: 30, value: true },
    ],
    output: { file: 'mix.wav', sampleFormat: 'float32' },
  },
];

const settings = {
  chain: [
    { type: 'gate', thresholdDb: -30, key: 'other', keyFilter: [{ type: 'lowpass', frequencyHz: 200 }] },
    { type: 'equaliser', bands: [{ type: 'peaking', frequencyHz: 500, gainDb: -3 }] },
    { type: 'compressor', bypassed: false },
  ],
  channels: 2,
  keyChannels: 1,
  automation: [{ block: 0, options: { thresholdDb: -20 }, frame: 64 }],
  meters: { everyFrames: 128 },
};
const messages: readonly unknown[] = [
  { kind: 'set', block: 0, options: { thresholdDb: -20, holdMs: 3 }, frame: 100 },
  { kind: 'set', block: 1, options: { 'bands[0].gainDb': 3 }, frame: 0 },
  { kind: 'set', block: 2, options: { bypassed: true }, frame: 1e6 },
  { kind: 'reset' },
  { kind: 'close' },
  { kind: 'meters', values: new Float64Array(8) },
];

/** Tells running processors mutated messages, and lets them run: nothing may be thrown, and what comes out is finite. */
function readMessages(draw: Draw): void {
  const { make, tell } = madeScope();
  const processor = make('batterhead-chain', settings);
  for (let m = 1 + draw(3); m > 0; m--) {
    const message = mutatedTree(pick(draw, messages), draw);
    tell(processor, message as object);
    const output = [new Float32Array(128), new Float32Array(128)];
    processor.process([[new Float32Array(128).fill(0.5), new Float32Array(128)], []], [output]);
    for (const channel of output) if (!channel.every(Number.isFinite)) throw new Error('what comes out is not finite');
  }
}

/** A processor made by mutated settings; one that is accepted runs a quantum. */
function readSettings(draw: Draw): void {
  const { make } = madeScope();
  const mutated = mutatedTree(settings, draw) as typeof settings;
  const processor = make('batterhead-chain', mutated);
  const channels = Math.min(64, (mutated as { channels?: number } | undefined)?.channels ?? 1); // 1 is the scope's default
  const output = Array.from({ length: channels }, () => new Float32Array(128));
  processor.process([[new Float32Array(128).fill(0.5)], []], [output]);
}

export const parserTargets: readonly ParserTarget[] = [
  {
    name: 'WAV',
    share: 6,
    read: (draw) => void decodeWav(mutatedBytes(pick(draw, waves), draw)),
    documents: (error) => error instanceof WavError && /^WavReader: at byte \d+: .* must /.test(error.message),
  },
  { name: 'plan', share: 4, read: (draw) => void parsePlan(mutatedTree(pick(draw, plans), draw)), documents: refusal },
  { name: 'hit list, JSON', share: 4, read: (draw) => void parseHitList(mutatedTree(list, draw)), documents: refusal },
  {
    name: 'hit list, CSV',
    share: 3,
    read: (draw) => requireOwn(hitsFromCsv(mutatedText(hitsToCsv(list), draw), 48_000)),
    documents: refusal,
  },
  {
    name: 'hit list, MIDI',
    share: 3,
    read: (draw) => requireOwn(hitsFromMidi(mutatedBytes(hitsToMidi(list), draw), 48_000)),
    documents: refusal,
  },
  { name: 'settings of a worklet', share: 0.5, read: readSettings, documents: refusal },
  { name: 'messages to a worklet', share: 0.5, read: readMessages, documents: () => false },
];
