/**
 * What the strokes on a drum sound like in one microphone: where their energy lies, their lowest strong partial, and how
 * fast they die.
 *
 *     P[k] = sum over strokes of |X[k]|^2 / sum over k of |X[k]|^2         X: 85 ms from the arrival, falling half of a Hann window
 *     fundamental = the strongest line of P from 30 to 400 Hz, by a parabola through its logarithms
 *     decay = 10 lg( power 5 to 25 ms after the arrival / power 90 to 120 ms after it )
 *
 * The loudest strokes alone are heard: the softest may be another drum's. Source: J. Smith, "Spectral Audio Signal
 * Processing" (parabola, from memory); the bands are common practice.
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { cosOfTurns, log2, log10 } from '../core/maths.ts';
import { median } from '../core/median.ts';
import type { SampleSource } from '../core/sample-source.ts';

/** The sound of a drum in a microphone. */
export interface StrokeSound {
  /** Share of the energy below 110 Hz, from there to 2 kHz, and above, in dB; at least -40. */
  readonly lowDb: number;
  readonly bodyDb: number;
  readonly highDb: number;
  /** Strongest partial between 30 and 400 Hz; NaN where there is none. */
  readonly fundamentalHz: number;
  /** Fall in the first 90 ms, in dB; NaN if the next stroke always comes sooner. */
  readonly fallDb: number;
}

/** Where a stroke begins in the microphone, and whether it has time to decay. */
export interface HeardStroke {
  readonly sample: number;
  readonly alone: boolean;
}

/** A stroke that another follows sooner than this has no decay of its own. */
export const DECAY_SECONDS = 0.125;
const WINDOW_SECONDS = 0.085;
const LOW_HZ = 110;
const HIGH_HZ = 2000;
const FUNDAMENTALS_HZ = [30, 400] as const;
const LEAST_SHARE = 1e-4;
const BEFORE_SAMPLES = 8; // arrivals are exact to some samples

/** The sound of strokes. @throws RangeError if there are none */
export function strokeSound(source: SampleSource, strokes: readonly HeardStroke[], sampleRateHz: number): StrokeSound {
  if (strokes.length === 0) throw new RangeError('strokeSound: strokes must hold at least one');
  const size = 1 << Math.round(log2(WINDOW_SECONDS * sampleRateHz));
  const power = spectrum(source, strokes, size);
  const all = sum(power, 1, power.length);
  const bin = (frequencyHz: number) => Math.round((frequencyHz * size) / sampleRateHz);
  const share = (from: number, to: number) =>
    10 * log10(Math.max(LEAST_SHARE, all > 0 ? sum(power, from, to) / all : 0));
  return {
    lowDb: share(1, bin(LOW_HZ)),
    bodyDb: share(bin(LOW_HZ), bin(HIGH_HZ)),
    highDb: share(bin(HIGH_HZ), power.length),
    fundamentalHz: (strongest(power, bin(FUNDAMENTALS_HZ[0]), bin(FUNDAMENTALS_HZ[1])) * sampleRateHz) / size,
    fallDb: median(strokes.filter(({ alone }) => alone).map(({ sample }) => fall(source, sample, sampleRateHz))),
  };
}

function spectrum(source: SampleSource, strokes: readonly HeardStroke[], size: number): Float64Array {
  const fft = new RealFft(size);
  const frame = new Float64Array(size),
    re = new Float64Array(fft.bins),
    im = new Float64Array(fft.bins),
    power = new Float64Array(fft.bins);
  for (const { sample } of strokes) {
    source.read(Math.floor(sample) - BEFORE_SAMPLES, frame);
    for (let i = 0; i < size; i++) frame[i] *= 0.5 + 0.5 * cosOfTurns(i / (2 * size));
    fft.forward(frame, re, im);
    let own = 0;
    for (let k = 1; k < fft.bins; k++) own += re[k] * re[k] + im[k] * im[k];
    if (own > 0) for (let k = 1; k < fft.bins; k++) power[k] += (re[k] * re[k] + im[k] * im[k]) / own;
  }
  return power;
}

function sum(power: Float64Array, from: number, to: number): number {
  let total = 0;
  for (let k = from; k < to; k++) total += power[k];
  return total;
}

/** Position of the strongest line in bins, with its fraction; NaN in silence. */
function strongest(power: Float64Array, from: number, to: number): number {
  let best = from;
  for (let k = from; k < to; k++) if (power[k] > power[best]) best = k;
  if (power[best] === 0) return NaN;
  const [left, middle, right] = [best - 1, best, best + 1].map((k) => log2(Math.max(power[k], Number.MIN_VALUE)));
  const curvature = left - 2 * middle + right;
  const offset = curvature < 0 ? (0.5 * (left - right)) / curvature : 0;
  return best + Math.max(-0.5, Math.min(0.5, offset));
}

function fall(source: SampleSource, sample: number, sampleRateHz: number): number {
  const power = (fromSeconds: number, toSeconds: number): number => {
    const x = new Float64Array(Math.round((toSeconds - fromSeconds) * sampleRateHz));
    source.read(Math.floor(sample + fromSeconds * sampleRateHz), x);
    return x.reduce((total, v) => total + v * v, 0) / x.length;
  };
  const late = power(0.09, 0.12);
  return late > 0 ? Math.min(60, 10 * log10(Math.max(1e-30, power(0.005, 0.025)) / late)) : 60;
}
