/**
 * Where a weighted correlation is largest, to a small fraction of a sample.
 *
 *     c(t) = sum over k of Re( P[k] e^(2 pi i k t / N) ),     t' = t - c'(t) / c''(t)      Newton's method
 *
 * c is evaluated between samples as what it is, a sum of cosines, so there is nothing to interpolate: a parabola through
 * three samples of a full-band peak would be wrong by up to 0.12 sample.
 *
 * @module
 */
import { cosOfTurns } from '../core/maths.ts';

const MOST_STEPS = 30;
const LONGEST_STEP = 0.25; // samples
const DONE = 1e-9; // samples

/** c, c' and c'' at t. `size` is N, the length of the transform of which P is the first half. */
export function correlationAt(
  re: Float64Array,
  im: Float64Array,
  size: number,
  t: number,
): { value: number; slope: number; bend: number } {
  const stepRe = cosOfTurns(t / size);
  const stepIm = cosOfTurns(t / size - 0.25);
  const radians = (2 * Math.PI) / size;
  let turnRe = 1, turnIm = 0, value = 0, slope = 0, bend = 0; // prettier-ignore
  for (let k = 0; k < re.length; k++) {
    const real = re[k] * turnRe - im[k] * turnIm;
    const imaginary = re[k] * turnIm + im[k] * turnRe;
    const w = radians * k;
    value += real;
    slope -= w * imaginary;
    bend -= w * w * real;
    const next = turnRe * stepRe - turnIm * stepIm;
    turnIm = turnRe * stepIm + turnIm * stepRe;
    turnRe = next;
  }
  return { value, slope, bend };
}

/** The local maximum of `sign` times c next to `start`. */
export function climb(re: Float64Array, im: Float64Array, size: number, start: number, sign: 1 | -1): number {
  let t = start;
  for (let step = 0; step < MOST_STEPS; step++) {
    const { slope, bend } = correlationAt(re, im, size, t);
    if (slope === 0) break;
    const uphill = sign * slope > 0 ? LONGEST_STEP : -LONGEST_STEP;
    const move = sign * bend < 0 ? -slope / bend : uphill;
    t += Math.abs(move) > LONGEST_STEP ? uphill : move;
    if (Math.abs(move) < DONE) break;
  }
  return t;
}
