/**
 * The kernels of `bench/native/`: each with the block of the library that does the same, and the numbers that the C++ is
 * given. It designs nothing, so that both run with the same coefficients.
 */
import { blockOf } from './block-cases.ts';
import { DB_PER_OCTAVE, dbToGain } from '../src/core/decibels.ts';
import type { Processor } from '../src/core/processor.ts';
import type { SimdKernels } from '../src/core/simd-kernels.ts';
import { onePoleCoefficient } from '../src/core/smoothing.ts';
import { compressorParameters } from '../src/dynamics/compressor.ts';
import { gateParameters } from '../src/dynamics/gate.ts';
import { limiterParameters } from '../src/dynamics/limiter.ts';
import { BiquadCascade } from '../src/filters/biquad-cascade.ts';
import { highpass, lowpass, peaking } from '../src/filters/biquad-design.ts';
import type { BiquadCoefficients } from '../src/filters/biquad-coefficients.ts';
import { halfBandPairs } from '../src/filters/half-band.ts';
import { kaiserBeta } from '../src/filters/kaiser-design.ts';
import { absorption, combGain, echoEnergy } from '../src/reverb/absorption.ts';
import { schroederReverbParameters } from '../src/reverb/schroeder-reverb.ts';
import { tankDelays } from '../src/reverb/tank-delays.ts';
import { RATE_HZ } from './sound.ts';

export interface NativeKernel {
  /** As `main.cpp` calls it. */
  readonly name: string;
  readonly channels: number;
  readonly create: (simd?: SimdKernels) => Processor;
  readonly parameters: readonly number[];
}

export const fourSections: readonly BiquadCoefficients[] = [100, 400, 1600, 6400].map((frequencyHz) =>
  peaking({ sampleRateHz: RATE_HZ, frequencyHz, gainDb: 3 }),
);
const numbersOf = (sections: readonly BiquadCoefficients[]): number[] =>
  sections.flatMap(({ b0, b1, b2, a1, a2 }) => [b0, b1, b2, a1, a2]);
const biquads = (channels: number) => ({
  channels,
  create: (simd?: SimdKernels) => new BiquadCascade({ sampleRateHz: RATE_HZ, channels, simd }, fourSections),
  parameters: numbersOf(fourSections),
});

const pole = (ms: number): number => onePoleCoefficient(ms, RATE_HZ);
const samples = (ms: number): number => Math.round((ms / 1000) * RATE_HZ);

function gate(): number[] {
  const { thresholdDb, hysteresisDb, rangeDb, attackMs, holdMs, releaseMs } = gateParameters;
  return [
    dbToGain(thresholdDb.default),
    dbToGain(thresholdDb.default - hysteresisDb.default),
    dbToGain(-rangeDb.default),
    pole(attackMs.default),
    pole(releaseMs.default),
    samples(holdMs.default),
  ];
}

function compressor(): number[] {
  const { thresholdDb, kneeDb, ratio, rangeDb, releaseMs, attackMs } = compressorParameters;
  const octaves = (db: number) => db / DB_PER_OCTAVE;
  return [
    octaves(thresholdDb.default),
    octaves(kneeDb.default),
    1 / ratio.default - 1,
    octaves(-rangeDb.default),
    pole(releaseMs.default),
    pole(attackMs.default),
    1,
  ];
}

const CEILING_DB = -6;

function limiter(): number[] {
  const { releaseMs, lookaheadMs } = limiterParameters;
  return [Math.fround(dbToGain(CEILING_DB)), pole(releaseMs.default), samples(lookaheadMs.default)];
}

/** The half-bands of the library's oversampler at 4x, and the delay that makes its latency whole. */
function softClipper(): number[] {
  const [first, second] = [83, 35].map((length) => [...halfBandPairs(length, kaiserBeta(106))]);
  const late = 4 * ((83 - 1) / 2) + 2 * ((35 - 1) / 2);
  return [dbToGain(12), 1, 4 * Math.ceil(late / 4) - late, first.length, ...first, ...second];
}

function schroederReverb(): number[] {
  const p = schroederReverbParameters;
  const sections = [
    highpass({ sampleRateHz: RATE_HZ, frequencyHz: p.highpassHz.default }),
    lowpass({ sampleRateHz: RATE_HZ, frequencyHz: p.lowpassHz.default }),
  ];
  return [samples(p.preDelayMs.default), ...numbersOf(sections), ...tank(0), ...tank(1)];
}

function tank(channel: number): number[] {
  const { decaySeconds, decayHighSeconds } = schroederReverbParameters;
  const { combs, allpasses } = tankDelays('medium', channel, RATE_HZ);
  const filters = combs.map((delay) => absorption(delay / RATE_HZ, decaySeconds.default, decayHighSeconds.default));
  const energy = filters.reduce((sum, filter) => sum + 1 + echoEnergy(filter), 0);
  const shortest = Math.min(decaySeconds.default, decayHighSeconds.default) / 2;
  return [
    1 / Math.sqrt(energy),
    ...allpasses.flatMap((delay) => [delay, Math.min(0.65, combGain(delay / RATE_HZ, shortest))]),
    ...filters.flatMap((filter, i) => [combs[i], filter.gain, filter.pole]),
  ];
}

export const nativeKernels: readonly NativeKernel[] = [
  { name: 'biquads, mono', ...biquads(1) },
  { name: 'biquads, stereo', ...biquads(2) },
  { name: 'gate', channels: 1, create: (simd) => blockOf('gate', 1, simd), parameters: gate() },
  { name: 'compressor', channels: 1, create: (simd) => blockOf('compressor', 1, simd), parameters: compressor() },
  { name: 'limiter', channels: 1, create: (simd) => blockOf('limiter', 1, simd), parameters: limiter() },
  {
    name: 'softClipper',
    channels: 1,
    create: (simd) => blockOf('softClipper, 4x', 1, simd),
    parameters: softClipper(),
  },
  {
    name: 'schroederReverb',
    channels: 2,
    create: (simd) => blockOf('schroederReverb', 2, simd),
    parameters: schroederReverb(),
  },
];
