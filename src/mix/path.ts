/**
 * Path: from the channels of a strip to left and right of another, through a matrix of gains and a delay.
 *
 *     left[n]  = sum over c of m[0][c] x[c][n - D]        right[n] likewise with m[1][c]
 *
 * A new matrix glides in over 20 ms. A path may have a high-pass, which filters the two sums: other paths of the same strip
 * keep their phase.
 *
 * @module
 */
import { DelayLine } from '../core/delay-line.ts';
import { Glide } from '../core/glide.ts';
import { BLOCK, scratch } from '../core/pieces.ts';
import { BiquadCascade } from '../filters/biquad-cascade.ts';
import { butterworthHighpass } from '../filters/butterworth.ts';

/** Order of a path's high-pass. */
const GUARD_ORDER = 4;

/** One way from strip to strip. */
export class Path {
  readonly #matrix: Glide;
  readonly #delaySamples: number;
  readonly #lines: readonly DelayLine[];
  readonly #sums = scratch(2);
  readonly #guard: BiquadCascade | undefined;
  readonly #side = { end: 0, trusted: true };

  /** @param highpassHz - corner of the path's high-pass; 0 for none */
  constructor(matrix: readonly number[], delaySamples: number, sampleRateHz: number, highpassHz = 0) {
    this.#matrix = new Glide(matrix, sampleRateHz);
    this.#delaySamples = delaySamples;
    this.#lines = this.#sums.map(() => new DelayLine(delaySamples));
    if (highpassHz > 0) {
      const sections = butterworthHighpass({ sampleRateHz, frequencyHz: highpassHz, order: GUARD_ORDER });
      this.#guard = new BiquadCascade({ sampleRateHz, channels: 2 }, sections);
    }
  }

  /** Sets off to another matrix. */
  glideTo(matrix: readonly number[]): void {
    this.#matrix.start(matrix);
  }

  /** Adds `from[c][start .. end)`, through the matrix and the delay, to `to[0]` and `to[1]`. */
  add(from: readonly Float64Array[], to: readonly Float64Array[], start: number, end: number): void {
    const matrix = this.#matrix,
      direct = !this.#guard && this.#delaySamples === 0;
    for (let at = start; at < end;) {
      const count = matrix.active ? 1 : Math.min(BLOCK, end - at);
      if (matrix.active) matrix.step();
      if (direct) addThrough(matrix.value, from, to, at, at + count);
      else this.#addLate(from, to, at, count);
      at += count;
    }
  }

  #addLate(from: readonly Float64Array[], to: readonly Float64Array[], at: number, count: number): void {
    for (let side = 0; side < 2; side++) this.#sum(side, from, at, count);
    if (this.#guard) {
      this.#side.end = count;
      this.#guard.process(this.#sums, this.#sums, this.#side);
    }
    for (let side = 0; side < 2; side++) this.#addSide(side, to[side], at, count);
  }

  #sum(side: number, from: readonly Float64Array[], at: number, count: number): void {
    const sum = this.#sums[side],
      gains = this.#matrix.value,
      channels = from.length;
    for (let c = 0; c < channels; c++) {
      const x = from[c],
        gain = gains[side * channels + c];
      if (c === 0) for (let i = 0; i < count; i++) sum[i] = gain * x[at + i];
      else for (let i = 0; i < count; i++) sum[i] += gain * x[at + i];
    }
  }

  #addSide(side: number, to: Float64Array, at: number, count: number): void {
    const sum = this.#sums[side];
    if (this.#delaySamples > 0) {
      this.#lines[side].write(sum, count);
      this.#lines[side].read(sum, count, this.#delaySamples);
    }
    for (let i = 0; i < count; i++) to[at + i] += sum[i];
  }
}

/** Adds one or two channels to left and right: what a path without delay and high-pass does, in one loop. */
function addThrough(
  gains: Float64Array,
  from: readonly Float64Array[],
  to: readonly Float64Array[],
  start: number,
  end: number,
): void {
  const left = to[0],
    right = to[1],
    x = from[0],
    z = from[from.length - 1];
  if (from.length === 1) {
    const toLeft = gains[0],
      toRight = gains[1];
    for (let i = start; i < end; i++) {
      left[i] += toLeft * x[i];
      right[i] += toRight * x[i];
    }
    return;
  }
  const xToLeft = gains[0],
    zToLeft = gains[1],
    xToRight = gains[2],
    zToRight = gains[3];
  for (let i = start; i < end; i++) {
    left[i] += xToLeft * x[i] + zToLeft * z[i];
    right[i] += xToRight * x[i] + zToRight * z[i];
  }
}
