/**
 * Fast convolution by overlap-save, two real signals in one complex transform.
 *
 *     block:  [ history L-1 | hop ]  -->  transform, x spectrum, inverse  -->  [ discarded L-1 | hop valid ]
 *
 * A complex product keeps two real results apart when one side is real: either two pieces of a signal go through one
 * response (real and imaginary part of the signal), or one signal through two responses (real and imaginary part of
 * the response). Every output sample comes from exactly one block, so a sum over signals is the same sum whoever
 * makes it.
 *
 * Source: T. G. Stockham, "High-speed convolution and correlation", AFIPS 1966.
 *
 * @module
 */
import { Transform } from './transform.ts';

/** Spectrum of a response, or of two, in the order of {@link Transform}, scaled for its inverse. */
export interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Receives `count` samples from `offset` on in `first` and `second`, that belong at `start`. */
export type Deposit = (
  pair: number,
  start: number,
  count: number,
  first: Float64Array,
  second: Float64Array,
  offset: number,
) => void;

/** Below this a transform spends its time on the history, far above it leaves the processor's cache. */
const SMALLEST_SIZE = 2048;

/** Convolver for responses of at most one length. */
export class Convolver {
  readonly #history: number;
  readonly #hop: number;
  readonly #transform: Transform;
  readonly #inputRe: Float64Array;
  readonly #inputIm: Float64Array;
  readonly #workRe: Float64Array;
  readonly #workIm: Float64Array;

  constructor(longestResponse: number) {
    let size = SMALLEST_SIZE;
    while (size < 2 * longestResponse) size *= 2;
    this.#history = longestResponse - 1;
    this.#hop = size - this.#history;
    this.#transform = new Transform(size);
    this.#inputRe = new Float64Array(size);
    this.#inputIm = new Float64Array(size);
    this.#workRe = new Float64Array(size);
    this.#workIm = new Float64Array(size);
  }

  /** Spectrum of two responses; the second is silent unless given. */
  spectrumOf(first: Float64Array, second?: Float64Array): Spectrum {
    const size = this.#transform.size;
    const re = new Float64Array(size);
    const im = new Float64Array(size);
    for (let i = 0; i < first.length; i++) re[i] = first[i] / size;
    if (second) for (let i = 0; i < second.length; i++) im[i] = second[i] / size;
    this.#transform.forward(re, im);
    return { re, im };
  }

  /** Adds `signal` through one real response to `target`, the first sample at `start`, which may be negative. */
  addFiltered(signal: Float64Array, response: Spectrum, target: Float64Array, start: number): void {
    const hop = this.#hop;
    const history = this.#history;
    const end = signal.length + history;
    for (let at = 0; at < end; at += 2 * hop) {
      this.#load(signal, at - history, this.#inputRe);
      this.#load(signal, at + hop - history, this.#inputIm);
      this.#transform.forward(this.#inputRe, this.#inputIm);
      this.#multiply(response);
      this.#transform.inverse(this.#workRe, this.#workIm);
      addPart(target, start + at, this.#workRe, history, Math.min(hop, end - at));
      addPart(target, start + at + hop, this.#workIm, history, Math.min(hop, end - at - hop));
    }
  }

  /**
   * Sends `signal` through pairs of responses. Output sample n of a pair is the convolution at n + `lead`, n from 0 to
   * the signal's length; silent stretches are not deposited.
   */
  hear(signal: Float64Array, pairs: readonly Spectrum[], lead: number, deposit: Deposit): void {
    for (let start = 0; start < signal.length; start += this.#hop) {
      if (!this.#load(signal, start + lead - this.#history, this.#inputRe)) continue;
      this.#inputIm.fill(0);
      this.#transform.forward(this.#inputRe, this.#inputIm);
      const count = Math.min(this.#hop, signal.length - start);
      for (let pair = 0; pair < pairs.length; pair++) {
        this.#multiply(pairs[pair]);
        this.#transform.inverse(this.#workRe, this.#workIm);
        deposit(pair, start, count, this.#workRe, this.#workIm, this.#history);
      }
    }
  }

  /** Fills a block from `start`, zeros outside the signal; tells whether anything sounds. */
  #load(signal: Float64Array, start: number, block: Float64Array): boolean {
    const from = Math.max(0, Math.min(signal.length, start));
    const to = Math.max(from, Math.min(signal.length, start + block.length));
    block.fill(0);
    if (from < to) block.set(signal.subarray(from, to), from - start);
    return block.some((sample) => sample !== 0);
  }

  #multiply(spectrum: Spectrum): void {
    const { re, im } = spectrum;
    const inputRe = this.#inputRe;
    const inputIm = this.#inputIm;
    const workRe = this.#workRe;
    const workIm = this.#workIm;
    for (let i = 0; i < re.length; i++) {
      workRe[i] = inputRe[i] * re[i] - inputIm[i] * im[i];
      workIm[i] = inputRe[i] * im[i] + inputIm[i] * re[i];
    }
  }
}

function addPart(target: Float64Array, start: number, source: Float64Array, offset: number, count: number): void {
  const first = Math.max(0, -start);
  const last = Math.min(count, target.length - start);
  for (let i = first; i < last; i++) target[start + i] += source[offset + i];
}
