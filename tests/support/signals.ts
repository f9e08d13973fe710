/** Test signals, from a generator of the tests' own (Marsaglia's xorshift32), so that no code under test makes them. */

/** Numbers in [0, 1), always the same ones for a seed. */
export function numbers(seed: number): () => number {
  let s = (seed ^ 0x9e3779b9) >>> 0 || 1;
  return () => {
    s ^= s << 13;
    s >>>= 0;
    s ^= s >>> 17;
    s ^= s << 5;
    s >>>= 0;
    return s / 4294967296;
  };
}

/** White noise between -amplitude and amplitude. */
export function noise(length: number, seed = 1, amplitude = 1): Float64Array {
  const next = numbers(seed);
  return Float64Array.from({ length }, () => amplitude * (2 * next() - 1));
}

/** Bursts of noise whose level jumps by up to 100 dB, then silence for the last `silentShare` of the length. */
export function bursts(length: number, seed: number, silentShare = 0.3): Float64Array {
  const next = numbers(seed);
  const signal = new Float64Array(length);
  const end = Math.round(length * (1 - silentShare));
  let level = 1;
  for (let i = 0; i < end; i++) {
    if (next() < 0.01) level = 10 ** ((6 - 100 * next() * next()) / 20);
    signal[i] = level * (2 * next() - 1);
  }
  return signal;
}

export function sine(
  length: number,
  frequencyHz: number,
  sampleRateHz: number,
  amplitude = 1,
  phase = 0,
): Float64Array {
  return Float64Array.from(
    { length },
    (_, n) => amplitude * Math.sin((2 * Math.PI * frequencyHz * n) / sampleRateHz + phase),
  );
}

export function impulse(length: number, at = 0, amplitude = 1): Float64Array {
  const signal = new Float64Array(length);
  signal[at] = amplitude;
  return signal;
}

export const constant = (value: number, length: number): Float64Array => new Float64Array(length).fill(value);

export const toFloat32 = (signal: Float64Array): Float32Array => Float32Array.from(signal);

/** Index of the first sample whose bits differ, or -1. `Object.is` tells 0 from -0. */
export function firstDifference(a: ArrayLike<number>, b: ArrayLike<number>): number {
  if (a.length !== b.length) return Math.min(a.length, b.length);
  for (let i = 0; i < a.length; i++) if (!Object.is(a[i], b[i])) return i;
  return -1;
}

/** Largest magnitude of the difference. */
export function largestDifference(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let largest = Math.abs(a.length - b.length) * Infinity || 0;
  for (let i = 0; i < a.length; i++) largest = Math.max(largest, Math.abs(a[i] - b[i]));
  return largest;
}

export const peak = (x: ArrayLike<number>): number => {
  let largest = 0;
  for (let i = 0; i < x.length; i++) largest = Math.max(largest, Math.abs(x[i]));
  return largest;
};

export const rms = (x: ArrayLike<number>): number => {
  let sum = 0;
  for (let i = 0; i < x.length; i++) sum += x[i] * x[i];
  return Math.sqrt(sum / x.length);
};
