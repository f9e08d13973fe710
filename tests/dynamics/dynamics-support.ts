/** What the tests of dynamics blocks share. */
import type { Processor } from '../../src/core/processor.ts';

export const amplitude = (db: number): number => 10 ** (db / 20);
export const decibels = (gain: number): number => 20 * Math.log10(gain);

/** Gain in dB of every sample, from the trace; a row for each channel. */
export function gainTrace(
  processor: Processor,
  input: readonly Float64Array[],
  key?: readonly Float64Array[],
): Float64Array[] {
  const gainDb = input.map((x) => new Float64Array(x.length));
  processor.process(
    input,
    input.map((x) => new Float64Array(x.length)),
    { key, trace: { gainDb } },
  );
  return gainDb;
}

/** A level in dB for a number of samples, and another for the rest. The sign alternates: only the magnitude may count. */
export const levels = (...parts: readonly (readonly [db: number, samples: number])[]): Float64Array =>
  Float64Array.from(
    parts.flatMap(([db, samples]) => Array.from({ length: samples }, (_, i) => (i % 2 ? -1 : 1) * amplitude(db))),
  );

/** A decaying sine at each of the given samples: a drum of sorts. */
export function strokes(
  length: number,
  sampleRateHz: number,
  at: readonly { readonly seconds: number; readonly peak: number }[],
  frequencyHz = 180,
  decaySeconds = 0.12,
): Float64Array {
  const x = new Float64Array(length);
  for (const { seconds, peak } of at) {
    for (let n = Math.ceil(seconds * sampleRateHz); n < length; n++) {
      const t = n / sampleRateHz - seconds;
      x[n] += peak * Math.exp(-t / decaySeconds) * Math.sin(2 * Math.PI * frequencyHz * t + 0.5);
    }
  }
  return x;
}

/** The sample rates at which a block must sound the same. */
export const RATES = [22_050, 44_100, 48_000, 96_000, 192_000] as const;
