/**
 * Polyphase interpolation: every tap that a conversion by L/M ever asks of a low-pass h in continuous time, and the loop
 * that uses them.
 *
 *     row p, tap j = h(p/L + K - 1 - j),    p = 0 .. L - 1,    j = 0 .. 2K - 1
 *
 * Row p times the 2K input samples around a time, oldest first, is the output p/L of a sample after the K-th of them. h is
 * a Kaiser-windowed sinc with its -6 dB point at half the lower rate, which reaches 44 samples of the lower rate to either
 * side: that is narrower than K when the rate goes down, and ends where the sinc is 0.
 *
 * @module
 */
import { kaiserBeta, windowedSinc } from './kaiser-design.ts';

/** Reach of h, in samples of the lower rate. */
const REACH = 44;
/** Attenuation that the window is made for, in dB: 110 with a margin for the estimate's error. */
const ATTENUATION_DB = 120;
/** 8 MB of taps. The usual rates need at most 4 MB between any two of them; 44100 to 44101 Hz would need 31. */
const MAXIMUM_TAPS = 1 << 20;

/** Taps for one ratio. */
export interface PolyphaseRows {
  /** L and M: output samples for so many input samples, in lowest terms. */
  readonly up: number;
  readonly down: number;
  /** K: input samples after (and up to) the time of an output that it takes; even. */
  readonly reach: number;
  /** L rows of 2K taps, one after the other. */
  readonly taps: Float64Array;
}

/** @throws RangeError if the rows would have more than 2^20 taps, naming `owner` */
export function polyphaseRows(owner: string, fromHz: number, toHz: number): PolyphaseRows {
  const divisor = greatestCommonDivisor(fromHz, toHz);
  const up = toHz / divisor,
    down = fromHz / divisor;
  const stretch = Math.max(1, down / up); // input samples per sample of the lower rate
  const reach = 2 * Math.ceil((REACH * stretch) / 2);
  if (up * 2 * reach > MAXIMUM_TAPS) {
    throw new RangeError(
      `${owner}: fromHz and toHz must be in a simpler ratio than ${up}/${down}, ` +
        `which needs ${up * 2 * reach} taps, at most ${MAXIMUM_TAPS}`,
    );
  }
  const h = windowedSinc({
    cutoffCyclesPerSample: 0.5 / stretch,
    halfWidthSamples: REACH * stretch,
    beta: kaiserBeta(ATTENUATION_DB),
  });
  const taps = new Float64Array(up * 2 * reach);
  for (let p = 0, at = 0; p < up; p++) {
    // One division of whole numbers: times of equal distance from 0 are the same number, so the rows are symmetric.
    for (let j = 0; j < 2 * reach; j++) taps[at++] = h((p + up * (reach - 1 - j)) / up);
  }
  return { up, down, reach, taps };
}

/**
 * Fills `y[0 .. frames)`: each output is a row times the window `w` from `at` on, and M steps of 1/L sample lie between two
 * outputs. Four sums run side by side, since one alone would wait for each addition; rows have a multiple of four taps.
 */
export function interpolate(
  w: Float64Array,
  { up, down, reach, taps }: PolyphaseRows,
  firstAt: number,
  firstRow: number,
  frames: number,
  y: Float64Array,
): void {
  const length = 2 * reach;
  // These two come from an array of Float64: unless told that they are whole, the engine computes every index as one.
  let at = firstAt | 0,
    row = firstRow | 0;
  for (let n = 0; n < frames; n++) {
    const start = row * length;
    let a = 0,
      b = 0,
      c = 0,
      d = 0;
    for (let j = 0; j < length; j += 4) {
      const t = start + j,
        i = at + j;
      a += taps[t] * w[i];
      b += taps[t + 1] * w[i + 1];
      c += taps[t + 2] * w[i + 2];
      d += taps[t + 3] * w[i + 3];
    }
    y[n] = a + b + (c + d);
    for (row += down; row >= up; row -= up) at++;
  }
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b);
}
