/**
 * Half-band stages: double a sample rate, and halve it again.
 *
 * A half-band low-pass h of length 4k - 1 has a middle tap of 1/2, and every other tap at an even distance from the
 * middle is 0. Split by phase, one half of the work is a delay:
 *
 *     up     y[2i] = 2 sum h[2m] x[i - m]            y[2i + 1] = x[i - (k - 1)]          m = 0 .. 2k - 1
 *     down   z[i]  = sum h[2m] e[i - m] + o[i - k] / 2          e[i] = y[2i],  o[i] = y[2i + 1]
 *
 * Up and down together delay by 2k - 1 samples of the lower rate.
 *
 * Source: the polyphase form follows from the zeros of the half-band; P. P. Vaidyanathan, "Multirate Systems and Filter
 * Banks", 1993, section on half-band filters (from memory).
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import { halfBandTaps } from './kaiser-design.ts';

/** Outputs that the inner loop makes at a time; windows and results are longer by as many. */
export const LANES = 4;

/** The taps of a stage that are neither 0 nor the middle one, the first half of the symmetric row. */
export function halfBandPairs(length: number, beta: number): Float64Array {
  const taps = halfBandTaps({ length, beta });
  return Float64Array.from({ length: (length + 1) / 4 }, (_, m) => taps[2 * m]);
}

/** Doubles the sample rate of one channel. */
export class UpStage implements Part {
  readonly state: readonly Float64Array[];
  readonly #taps: Float64Array;
  readonly #past: number; // samples of the past that the window begins with
  readonly #window: Float64Array;

  /** @param longest - samples of the lower rate that one call may bring */
  constructor(pairs: Float64Array, longest: number) {
    this.#taps = pairs.map((tap) => 2 * tap);
    this.#past = 2 * pairs.length - 1;
    this.#window = new Float64Array(this.#past + longest + LANES);
    this.state = [this.#window.subarray(0, this.#past)];
  }

  reset(): void {
    this.#window.fill(0);
  }

  /** Fills `y[0 .. 2 count)` from `x[0 .. count)`; up to six samples behind are left undefined. */
  process(x: Float64Array, count: number, y: Float64Array): void {
    const window = this.#window,
      past = this.#past,
      k = this.#taps.length;
    for (let i = 0; i < count; i++) {
      window[past + i] = x[i];
      y[2 * i + 1] = window[i + k];
    }
    symmetricFir(window, this.#taps, count, y, 2);
    window.copyWithin(0, count, count + past);
  }
}

/** Halves the sample rate of one channel. */
export class DownStage implements Part {
  readonly state: readonly Float64Array[];
  readonly #taps: Float64Array;
  readonly #late: number; // which phase y[0] belongs to: 0 even, 1 odd
  readonly #pastEven: number;
  readonly #pastOdd: number;
  readonly #even: Float64Array;
  readonly #odd: Float64Array;
  readonly #sum: Float64Array;

  /**
   * @param longest - samples of the lower rate that one call may ask for
   * @param late - samples of the higher rate by which the input is delayed before it is filtered
   */
  constructor(pairs: Float64Array, longest: number, late = 0) {
    this.#taps = pairs;
    this.#late = late % 2;
    this.#pastEven = 2 * pairs.length - 1 + Math.ceil(late / 2);
    this.#pastOdd = pairs.length + Math.floor(late / 2);
    this.#even = new Float64Array(this.#pastEven + longest + LANES);
    this.#odd = new Float64Array(this.#pastOdd + longest);
    this.#sum = new Float64Array(longest + LANES);
    this.state = [this.#even.subarray(0, this.#pastEven), this.#odd.subarray(0, this.#pastOdd)];
  }

  reset(): void {
    this.#even.fill(0);
    this.#odd.fill(0);
  }

  /** Fills `z[0 .. count)` from `y[0 .. 2 count)`. */
  process(y: Float64Array, count: number, z: Float64Array): void {
    const sum = this.#sum,
      even = this.#even,
      odd = this.#odd,
      late = this.#late,
      pastEven = this.#pastEven,
      pastOdd = this.#pastOdd;
    for (let i = 0; i < count; i++) {
      even[pastEven + i] = y[2 * i + late];
      odd[pastOdd + i] = y[2 * i + 1 - late];
    }
    symmetricFir(even, this.#taps, count, sum, 1);
    for (let i = 0; i < count; i++) z[i] = sum[i] + 0.5 * odd[i];
    even.copyWithin(0, count, count + pastEven);
    odd.copyWithin(0, count, count + pastOdd);
  }
}

/**
 * y[stride i] = sum over j of taps[j] (w[i + j] + w[i + 2k - 1 - j]): a symmetric filter given by its first half. Four
 * outputs at a time share the loading of a tap, and two samples come in where two go out; up to three outputs behind
 * `count` are left undefined.
 */
export function symmetricFir(
  w: Float64Array,
  taps: Float64Array,
  count: number,
  y: Float64Array,
  stride: number,
): void {
  const k = taps.length;
  for (let i = 0; i < count; i += 4) {
    let p = i + 3,
      q = i + 2 * k - 1;
    let p0 = w[i],
      p1 = w[i + 1],
      p2 = w[i + 2],
      q1 = w[q + 1],
      q2 = w[q + 2],
      q3 = w[q + 3];
    let a = 0,
      b = 0,
      c = 0,
      d = 0;
    for (let j = 0; j < k; j++) {
      const tap = taps[j],
        p3 = w[p++],
        q0 = w[q--];
      a += tap * (p0 + q0);
      b += tap * (p1 + q1);
      c += tap * (p2 + q2);
      d += tap * (p3 + q3);
      p0 = p1;
      p1 = p2;
      p2 = p3;
      q3 = q2;
      q2 = q1;
      q1 = q0;
    }
    const at = stride * i;
    y[at] = a;
    y[at + stride] = b;
    y[at + 2 * stride] = c;
    y[at + 3 * stride] = d;
  }
}
