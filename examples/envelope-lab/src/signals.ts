/**
 * Test signals of the lab, each with one thing to see.
 *
 *     step     a square wave, so that |x| is the level at every sample, which jumps up by 30 dB and back
 *     burst    tones of 60 ms with raised-cosine edges of 2 ms, every 400 ms, in turn at 0, -10 and -20 dB
 *     sine     a steady tone
 *
 * @module
 */
import type { ParameterTable, ParameterValues } from 'batterhead/core';

/** What can be chosen besides the kit and a file. */
export const signalNames = ['step', 'burst', 'sine'] as const;

export type SignalName = (typeof signalNames)[number];

/** Sample rate of the test signals and of the kit. */
export const SAMPLE_RATE_HZ = 48_000;

/** Length of every test signal. */
const SECONDS = 2.4;

/** Parameters of the test signals, as a table of the library. */
export const signalParameters = {
  /** Peak of the loudest part. */
  levelDb: { default: -6, min: -60, max: 0 },
  /** Of the tone. */
  frequencyHz: { default: 1000, min: 20, max: 20_000, taper: 'log' },
} as const satisfies ParameterTable;

export type SignalOptions = ParameterValues<typeof signalParameters>;

const STEP_DB = 30;
const STEP_BEGIN = 0.4;
const STEP_END = 1.4;
const BURST_EVERY = 0.4;
const BURST_SECONDS = 0.06;
const BURST_EDGE = 0.002;
const SINE_EDGE = 0.02;

/** Amplitude over time, relative to the peak. */
const envelopes: Readonly<Record<SignalName, (seconds: number) => number>> = {
  step: (t) => (t >= STEP_BEGIN && t < STEP_END ? 1 : 10 ** (-STEP_DB / 20)),
  burst: (t) => {
    const number = Math.floor(t / BURST_EVERY);
    return 10 ** (-(number % 3) / 2) * edges(t - number * BURST_EVERY, BURST_SECONDS, BURST_EDGE);
  },
  sine: (t) => edges(t, SECONDS, SINE_EDGE),
};

/** A test signal, one channel. */
export function makeSignal(name: SignalName, { levelDb, frequencyHz }: SignalOptions): Float32Array {
  const peak = 10 ** (levelDb / 20);
  const envelope = envelopes[name];
  return Float32Array.from({ length: SECONDS * SAMPLE_RATE_HZ }, (_, i) => {
    const turns = (i * frequencyHz) / SAMPLE_RATE_HZ;
    const tone = name === 'step' ? (turns % 1 < 0.5 ? 1 : -1) : Math.sin(2 * Math.PI * (turns % 1));
    return peak * envelope(i / SAMPLE_RATE_HZ) * tone;
  });
}

/** 1 between 0 and `length`, with raised-cosine edges inside; 0 elsewhere. */
function edges(t: number, length: number, edge: number): number {
  const inside = Math.min(t, length - t);
  if (inside <= 0) return 0;
  return inside < edge ? 0.5 - 0.5 * Math.cos((Math.PI * inside) / edge) : 1;
}
