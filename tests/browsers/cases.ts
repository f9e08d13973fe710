/**
 * What is run in every engine: each block type, as a node and as the plain class, with settings under which it works.
 */
import { blockTypes } from '../../src/blocks/block-types.ts';
import { Random } from '../../src/core/random.ts';

/** One run. */
export interface BrowserCase {
  readonly name: string;
  readonly chain: readonly Readonly<Record<string, unknown>>[];
  readonly channels: number;
  readonly frames: number;
  /** Options set at a frame, on a block. */
  readonly sets: readonly {
    readonly block: number;
    readonly options: Record<string, unknown>;
    readonly frame: number;
  }[];
}

export const SAMPLE_RATE_HZ = 48000;
/** No multiple of a render quantum. */
const FRAMES = 24_001;

/** Settings that make a block do something to these signals; the rest keep their defaults. */
const lively: Readonly<Record<string, Readonly<Record<string, unknown>>>> = {
  gain: { gainDb: -7 },
  polarity: { inverted: true },
  delay: { delaySamples: 37 },
  fractionalDelay: { delaySamples: 3.3 },
  equaliser: {
    bands: [
      { type: 'peaking', frequencyHz: 900, gainDb: 6 },
      { type: 'highpass', frequencyHz: 80, order: 3 },
    ],
  },
  gate: { thresholdDb: -20, lookaheadMs: 2, key: 'any', keyFilter: [{ type: 'lowpass', frequencyHz: 2000 }] },
  compressor: { thresholdDb: -24, ratio: 4, kneeDb: 6, lookaheadMs: 1 },
  limiter: { ceilingDb: -12 },
  hardClipper: { driveDb: 9, oversampling: 4 },
  softClipper: { driveDb: 9, oversampling: 2 },
  schroederReverb: { decaySeconds: 0.7, mixPercent: 40 },
  feedbackReverb: { decaySeconds: 0.4, mixPercent: 40, tail: 'duck' },
};

/** A parameter that changes half-way, where a block has one that may. */
const changed: Readonly<Record<string, Record<string, unknown>>> = {
  gain: { gainDb: 3 },
  equaliser: { 'bands[0].gainDb': -9 },
  gate: { thresholdDb: -40 },
  compressor: { thresholdDb: -35, attackMs: 3 },
  limiter: { ceilingDb: -20 },
  softClipper: { driveDb: 2 },
  feedbackReverb: { decaySeconds: 0.9, modulationPercent: 60 },
};

/** A node has no files to take an impulse response from. */
const types = Object.keys(blockTypes).filter((type) => !blockTypes[type].takesImpulse);

const single = types.map((type): BrowserCase => {
  const options = changed[type];
  return {
    name: type,
    chain: [{ type, ...lively[type] }],
    channels: 2,
    frames: FRAMES,
    sets: options ? [{ block: 0, options, frame: 10_007 }] : [],
  };
});

const strip: BrowserCase = {
  name: 'a strip of four, mono, with a key',
  chain: ['gate', 'equaliser', 'compressor', 'softClipper'].map((type) => ({ type, ...lively[type] })),
  channels: 1,
  frames: FRAMES,
  sets: [
    { block: 2, options: { ratio: 10 }, frame: 5001 },
    { block: 0, options: { rangeDb: 20 }, frame: 12_345 },
  ],
};

export const browserCases: readonly BrowserCase[] = [...single, strip];

/** Bursts of noise, the same in every engine: drums with silence between them. */
export function burstsOf(channels: number, frames: number, seed: number): Float32Array[] {
  const random = new Random(seed);
  return Array.from({ length: channels }, () => {
    let level = 0;
    return Float32Array.from({ length: frames }, (_, i) => {
      level = i % 6000 < 3 ? 0.8 : level * 0.999;
      return level < 1e-4 ? 0 : level * random.uniform(-1, 1);
    });
  });
}
