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
  readonly #past: Float64Array;
  readonly #window: Float64Array;
  readonly #even: Float64Array;

  /** @param longest - samples of the lower rate that one call may bring */
  constructor(pairs: Float64Array, longest: number) {
    this.#taps = pairs.map((tap) => 2 * tap);
    this.#past = new Float64Array(2 * pairs.length - 1);
    this.#window = new Float64Array(this.#past.length + longest + LANES);
    this.#even = new Float64Array(longest + LANES);
    this.state = [this.#past];
  }

  reset(): void {
    this.#past.fill(0);
  }

  /** Fills `y[0 .. 2 count)` from `x[0 .. count)`. */
  process(x: Float64Array, count: number, y: Float64Array): void {
    const window = this.#window,
      even = this.#even,
      k = this.#taps.length;
    slide(this.#past, x, 0, 1, count, window);
    symmetricFir(window, this.#taps, count, even);
    for (let i = 0; i < count; i++) {
      y[2 * i] = even[i];
      y[2 * i + 1] = window[i + k];
    }
  }
}

/** Halves the sample rate of one channel. */
export class DownStage implements Part {
  readonly state: readonly Float64Array[];
  readonly #taps: Float64Array;
  readonly #pastEven: Float64Array;
  readonly #pastOdd: Float64Array;
  readonly #even: Float64Array;
  readonly #odd: Float64Array;
  readonly #sum: Float64Array;

  /** @param longest - samples of the lower rate that one call may ask for */
  constructor(pairs: Float64Array, longest: number) {
    this.#taps = pairs;
    this.#pastEven = new Float64Array(2 * pairs.length - 1);
    this.#pastOdd = new Float64Array(pairs.length);
    this.#even = new Float64Array(this.#pastEven.length + longest + LANES);
    this.#odd = new Float64Array(this.#pastOdd.length + longest);
    this.#sum = new Float64Array(longest + LANES);
    this.state = [this.#pastEven, this.#pastOdd];
  }

  reset(): void {
    this.#pastEven.fill(0);
    this.#pastOdd.fill(0);
  }

  /** Fills `z[0 .. count)` from `y[0 .. 2 count)`. */
  process(y: Float64Array, count: number, z: Float64Array): void {
    const sum = this.#sum,
      odd = this.#odd;
    slide(this.#pastEven, y, 0, 2, count, this.#even);
    slide(this.#pastOdd, y, 1, 2, count, odd);
    symmetricFir(this.#even, this.#taps, count, sum);
    for (let i = 0; i < count; i++) z[i] = sum[i] + 0.5 * odd[i];
  }
}

/** Lays every `stride`-th sample of `x` behind `past` into `window`, and keeps the end of it as the new past. */
function slide(
  past: Float64Array,
  x: Float64Array,
  offset: number,
  stride: number,
  count: number,
  window: Float64Array,
): void {
  const length = past.length;
  for (let i = 0; i < length; i++) window[i] = past[i];
  for (let i = 0; i < count; i++) window[length + i] = x[offset + stride * i];
  for (let i = 0; i < length; i++) past[i] = window[count + i];
}

/**
 * y[i] = sum over j of taps[j] (w[i + j] + w[i + 2k - 1 - j]): a symmetric filter given by its first half. Four outputs
 * at a time share the loading of a tap; up to three outputs behind `count` are left undefined.
 */
export function symmetricFir(w: Float64Array, taps: Float64Array, count: number, y: Float64Array): void {
  const k = taps.length,
    last = 2 * k - 1;
  for (let i = 0; i < count; i += LANES) {
    let a = 0,
      b = 0,
      c = 0,
      d = 0;
    for (let j = 0; j < k; j++) {
      const tap = taps[j],
        p = i + j,
        q = i + last - j;
      a += tap * (w[p] + w[q]);
      b += tap * (w[p + 1] + w[q + 1]);
      c += tap * (w[p + 2] + w[q + 2]);
      d += tap * (w[p + 3] + w[q + 3]);
    }
    y[i] = a;
    y[i + 1] = b;
    y[i + 2] = c;
    y[i + 3] = d;
  }
}
