/**
 * Convolution stage: a stretch of some long responses, by partitioned overlap-save.
 *
 *     every P samples:   the last 2P inputs --> transform --> X[now]
 *                        Y = sum over partitions p of X[now - p] H[p] --> inverse --> P outputs
 *
 * Partitions p >= 1 need only spectra of the past. Their products are added up while the next P samples are still coming
 * in, an even share for each 128 of them, so that no block of 128 has much more to do than another.
 *
 * Source: T. G. Stockham, "High-Speed Convolution and Correlation", AFIPS 1966; W. G. Gardner, "Efficient Convolution
 * without Input-Output Delay", JAES 43(3), 1995, for stages of different P; the partitioned spectra are those of
 * F. Wefers, "Partitioned convolution algorithms for real-time auralization", dissertation, RWTH Aachen 2015, uniformly
 * partitioned overlap-save (from memory).
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';

/** A way through the stage: from an input channel, through one response, to an output channel. */
export interface StageRoute {
  readonly from: number;
  readonly to: number;
  /** The stage's stretch of the response, any length. */
  readonly response: Float64Array;
}

interface Route {
  readonly from: number;
  readonly to: number;
  /** Spectra of the partitions, one after the other. */
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Convolves some inputs with a stretch of some responses; the first output comes when P inputs are complete. */
export class ConvolutionStage implements Part {
  readonly state: readonly Float64Array[];
  readonly #size: number; // P
  readonly #partitions: number;
  readonly #routes: readonly Route[];
  readonly #fft: RealFft;
  readonly #inputs: readonly Float64Array[]; // per input: the P samples before, the P that are coming in
  readonly #pastRe: readonly Float64Array[]; // per input: spectra of the past, a ring of partitions
  readonly #pastIm: readonly Float64Array[];
  readonly #sumRe: readonly Float64Array[]; // per output: Y as far as it is known
  readonly #sumIm: readonly Float64Array[];
  readonly #outputs: readonly Float64Array[]; // per output: P samples that are going out
  readonly #at = new Float64Array(2); // samples of the present P that are in; place of the newest spectrum in the ring
  readonly #time: Float64Array;
  readonly #re: Float64Array;
  readonly #im: Float64Array;

  /** @param size - P: a power of two, 128 or more */
  constructor(size: number, inputs: number, outputs: number, routes: readonly StageRoute[]) {
    this.#size = size;
    this.#fft = new RealFft(2 * size);
    this.#partitions = Math.ceil(Math.max(1, ...routes.map(({ response }) => response.length)) / size);
    const { bins } = this.#fft;
    const arrays = (count: number, length: number) => Array.from({ length: count }, () => new Float64Array(length));
    this.#time = new Float64Array(2 * size);
    this.#re = new Float64Array(bins);
    this.#im = new Float64Array(bins);
    this.#routes = routes.map((route) => this.#spectraOf(route));
    this.#inputs = arrays(inputs, 2 * size);
    this.#pastRe = arrays(inputs, bins * this.#partitions);
    this.#pastIm = arrays(inputs, bins * this.#partitions);
    this.#sumRe = arrays(outputs, bins);
    this.#sumIm = arrays(outputs, bins);
    this.#outputs = arrays(outputs, size);
    this.state = [
      ...[this.#inputs, this.#pastRe, this.#pastIm, this.#sumRe, this.#sumIm, this.#outputs].flat(),
      this.#at,
    ];
  }

  reset(): void {
    for (const array of this.state) array.fill(0);
  }

  /** Adds what is due to `y` and takes `x`; the piece must not cross a multiple of 128 samples since `reset`. */
  process(x: readonly Float64Array[], y: readonly Float64Array[], count: number): void {
    const size = this.#size,
      at = this.#at[0] | 0;
    for (let o = 0; o < y.length; o++) {
      const due = this.#outputs[o],
        sum = y[o];
      for (let i = 0; i < count; i++) sum[i] += due[at + i];
    }
    for (let c = 0; c < x.length; c++) {
      const input = this.#inputs[c],
        piece = x[c];
      for (let i = 0; i < count; i++) input[size + at + i] = piece[i];
    }
    const end = at + count;
    this.#at[0] = end;
    if (end % BLOCK === 0) this.#work(end / BLOCK);
  }

  /** The share of the work that is done behind block `block`, from 1 on, of the present P samples. */
  #work(block: number): void {
    const blocks = this.#size / BLOCK,
      past = this.#partitions - 1;
    const start = 1 + Math.floor(((block - 1) * past) / blocks),
      end = 1 + Math.floor((block * past) / blocks);
    for (let p = start; p < end; p++) this.#addPartition(p, p - 1);
    if (block === blocks) this.#turn();
  }

  /** P samples are complete. */
  #turn(): void {
    const { bins } = this.#fft;
    const size = this.#size,
      re = this.#re,
      im = this.#im,
      time = this.#time;
    const newest = (this.#at[1] + this.#partitions - 1) % this.#partitions;
    this.#at[0] = 0;
    this.#at[1] = newest;
    for (let c = 0; c < this.#inputs.length; c++) {
      const input = this.#inputs[c];
      this.#fft.forward(input, re, im);
      this.#pastRe[c].set(re, newest * bins);
      this.#pastIm[c].set(im, newest * bins);
      input.copyWithin(0, size);
    }
    this.#addPartition(0, 0);
    for (let o = 0; o < this.#outputs.length; o++) {
      const output = this.#outputs[o];
      this.#fft.inverse(this.#sumRe[o], this.#sumIm[o], time);
      for (let i = 0; i < size; i++) output[i] = time[size + i];
      this.#sumRe[o].fill(0);
      this.#sumIm[o].fill(0);
    }
  }

  /** Adds the products of partition `p` with the spectra that are `age` behind the newest. */
  #addPartition(p: number, age: number): void {
    const { bins } = this.#fft;
    const place = ((this.#at[1] + age) % this.#partitions) * bins;
    for (let r = 0; r < this.#routes.length; r++) {
      const { from, to, re, im } = this.#routes[r];
      addProduct(this.#sumRe[to], this.#sumIm[to], this.#pastRe[from], this.#pastIm[from], place, re, im, p * bins);
    }
  }

  #spectraOf({ from, to, response }: StageRoute): Route {
    const { bins } = this.#fft;
    const size = this.#size,
      re = new Float64Array(bins * this.#partitions),
      im = new Float64Array(bins * this.#partitions);
    for (let p = 0; p < this.#partitions; p++) {
      this.#time.fill(0);
      this.#time.set(response.subarray(p * size, (p + 1) * size));
      this.#fft.forward(this.#time, this.#re, this.#im);
      re.set(this.#re, p * bins);
      im.set(this.#im, p * bins);
    }
    return { from, to, re, im };
  }
}

/** sum += x h, complex, bin by bin. */
function addProduct(
  sumRe: Float64Array,
  sumIm: Float64Array,
  xRe: Float64Array,
  xIm: Float64Array,
  xAt: number,
  hRe: Float64Array,
  hIm: Float64Array,
  hAt: number,
): void {
  for (let k = 0; k < sumRe.length; k++) {
    const a = xRe[xAt + k],
      b = xIm[xAt + k],
      c = hRe[hAt + k],
      d = hIm[hAt + k];
    sumRe[k] += a * c - b * d;
    sumIm[k] += a * d + b * c;
  }
}
