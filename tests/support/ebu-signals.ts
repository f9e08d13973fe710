/**
 * Test signals of EBU Tech 3341 (V4, November 2023), Table 1, and Tech 3342 (2023), Table 1, synthesised at 48 kHz: sines
 * of 1000 Hz, in phase in both channels, each segment from phase 0; levels are the peak of each channel in dBFS.
 */
import { sine } from './signals.ts';

export const EBU_RATE_HZ = 48000;

export type Segment = readonly [seconds: number, levelDb: number];

const SILENCE = -Infinity;
const TWENTY = Array.from({ length: 20 }, (_, i) => i);

/** One channel of a signal; the other is the same. */
export function tone(segments: readonly Segment[]): Float64Array {
  const period = sine(EBU_RATE_HZ / 1000, 1000, EBU_RATE_HZ); // of 48 samples, exactly
  const parts = segments.map(([seconds, dB]) => {
    const part = new Float64Array(Math.round(seconds * EBU_RATE_HZ));
    const amplitude = 10 ** (dB / 20);
    for (let n = 0; n < part.length; n++) part[n] = amplitude * period[n % period.length];
    return part;
  });
  return join(parts);
}

export function join(parts: readonly Float64Array[]): Float64Array {
  const signal = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    signal.set(part, at);
    at += part.length;
  }
  return signal;
}

const repeat = (segments: readonly Segment[], times: number): readonly Segment[] =>
  Array.from({ length: times }, () => segments).flat();

/** Signals 1 to 5: integrated loudness -23 (2: -33) +-0.1 LU. */
export const integratedSignals: Readonly<Record<string, readonly Segment[]>> = {
  1: [[20, -23]],
  2: [[20, -33]],
  3: [
    [10, -36],
    [60, -23],
    [10, -36],
  ],
  4: [
    [10, -72],
    [10, -36],
    [60, -23],
    [10, -36],
    [10, -72],
  ],
  5: [
    [20, -26],
    [20.1, -20],
    [20, -26],
  ],
};

/** Signal 9: S = -23 +-0.1 LU, constant after 3 s. */
export const signal9 = repeat(
  [
    [1.34, -20],
    [1.66, -30],
  ],
  5,
);

/** Signal 12: M = -23 +-0.1 LU, constant after 1 s. */
export const signal12 = repeat(
  [
    [0.18, -20],
    [0.22, -30],
  ],
  25,
);

/** Signal 10, twenty files: largest S = -23 +-0.1 LU in each. */
export const signals10 = TWENTY.map((i): readonly Segment[] => [
  [0.15 * i, SILENCE],
  [3, -23],
  [1, SILENCE],
]);

/** Signal 11, twenty segments of one file: successive largest S = -38 .. -19 +-0.1 LU. */
export const signal11 = TWENTY.map((i): readonly Segment[] => [
  [0.15 * i, SILENCE],
  [3, -38 + i],
  [3 - 0.15 * i, SILENCE],
]);

/** Signal 13, twenty files: largest M = -23 +-0.1 LU in each. */
export const signals13 = TWENTY.map((i): readonly Segment[] => [
  [0.02 * i, SILENCE],
  [0.4, -23],
  [1, SILENCE],
]);

/** Signal 14, twenty segments of one file: successive largest M = -38 .. -19 +-0.1 LU. */
export const signal14 = TWENTY.map((i): readonly Segment[] => [
  [0.02 * i, SILENCE],
  [0.4, -38 + i],
  [0.4 - 0.02 * i, SILENCE],
]);

/** Tech 3342, cases 1 to 4: levels of segments of 20 s, and the range +-1 LU. */
export const rangeCases: Readonly<Record<string, readonly [segments: readonly Segment[], rangeLu: number]>> = {
  1: [
    [
      [20, -20],
      [20, -30],
    ],
    10,
  ],
  2: [
    [
      [20, -20],
      [20, -15],
    ],
    5,
  ],
  3: [
    [
      [20, -40],
      [20, -20],
    ],
    20,
  ],
  4: [
    [
      [20, -50],
      [20, -35],
      [20, -20],
      [20, -35],
      [20, -50],
    ],
    15,
  ],
};

/**
 * Signals 15 to 23 at 48 kHz: a sine, or a sine with one period of another inserted at four times the rate, low-passed and
 * decimated from an offset. Fades of 10 ms. True peak +0.2/-0.4 dB of what is said.
 */
export function truePeakSignal(number: number): { readonly signal: Float64Array; readonly expectedDb: number } {
  const sines: Readonly<Record<number, readonly [divisor: number, amplitude: number, degrees: number]>> = {
    15: [4, 0.5, 0],
    16: [4, 0.5, 45],
    17: [6, 0.5, 60],
    18: [8, 0.5, 67.5],
    19: [4, 1.41, 45],
  };
  if (number in sines) {
    const [divisor, amplitude, degrees] = sines[number];
    const signal = sine(48000, EBU_RATE_HZ / divisor, EBU_RATE_HZ, amplitude, (degrees * Math.PI) / 180);
    return { signal: faded(signal, 480), expectedDb: number === 19 ? 3 : -6 };
  }
  const rate = 4 * EBU_RATE_HZ;
  const around = (length: number) => sine(length, 8000, rate, 0.5);
  const fine = faded(join([around(24 * 500), sine(16, 12000, rate), around(24 * 500)]), 1920);
  return { signal: decimated(fine, number - 20), expectedDb: 0 };
}

function faded(signal: Float64Array, length: number): Float64Array {
  return signal.map((x, n) => x * Math.min(1, n / length, (signal.length - 1 - n) / length));
}

/** A quarter of the rate through 1001 Kaiser taps (beta 9), 0.98 of half the new rate, their delay taken out. */
function decimated(x: Float64Array, offset: number): Float64Array {
  const middle = 500,
    cutoff = 0.98 / 8;
  const i0 = (v: number): number => {
    let sum = 1;
    for (let k = 1, term = 1; k < 60; k++) sum += term *= (v * v) / (4 * k * k);
    return sum;
  };
  const taps = Float64Array.from({ length: 1001 }, (_, n) => {
    const t = n - middle;
    const sinc = t === 0 ? 2 * cutoff : Math.sin(2 * Math.PI * cutoff * t) / (Math.PI * t);
    return (sinc * i0(9 * Math.sqrt(1 - (t / middle) ** 2))) / i0(9);
  });
  return Float64Array.from({ length: Math.floor((x.length - offset) / 4) }, (_, m) => {
    const at = 4 * m + offset;
    let sum = 0;
    for (let n = Math.max(-middle, at - x.length + 1); n <= Math.min(middle, at); n++)
      sum += taps[middle + n] * x[at - n];
    return sum;
  });
}
