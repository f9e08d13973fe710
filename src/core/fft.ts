/**
 * Discrete Fourier transform of complex and of real sequences,
 *
 *     X[k] = sum x[n] e^(-2 pi i k n / N),   n = 0 ... N-1,        x[n] = 1/N sum X[k] e^(2 pi i k n / N).
 *
 * A real sequence of N samples is transformed as N/2 complex ones z[m] = x[2m] + i x[2m+1]. The spectra E of the even
 * and O of the odd samples are the two symmetric parts of Z, and with M = N/2 and W = e^(-2 pi i / N)
 *
 *     X[k] = E[k] + W^k O[k],      X[M-k] = conj(E[k] - W^k O[k]).
 *
 * Source: H. V. Sorensen, D. L. Jones, M. T. Heideman, C. S. Burrus, "Real-Valued Fast Fourier Transform Algorithms",
 * IEEE Trans. ASSP 35(6), 1987. The complex transform is the radix-4 one of fft.js by F. Indutny, with the roots of
 * unity replaced by ours, so that the bits do not depend on the engine's sine.
 *
 * @module
 */
import FFT from 'fft.js';
import { requireInteger } from './check.ts';
import { cos, sin } from './maths.ts';

const LARGEST = 4194304; // 2^22

/** What is used of fft.js, whose own types say `any`; complex numbers as re, im, re, im ... */
interface Transform {
  table: number[];
  transform(out: number[], data: number[]): void;
}

/** Transform of `size` complex numbers. The arrays given may be longer than needed, and input may be output. */
export class ComplexFft {
  /** Length of the sequence and of its spectrum. */
  readonly size: number;
  readonly #transform: Transform;
  readonly #input: number[];
  readonly #output: number[];

  /**
   * @param size - a power of two from 2 to 2^22
   * @throws RangeError for any other size
   */
  constructor(size: number) {
    requirePowerOfTwo('ComplexFft: size', size, 2);
    this.size = size;
    this.#transform = new FFT(size);
    this.#transform.table = rootsOfUnity(size);
    this.#input = reals(2 * size);
    this.#output = reals(2 * size);
  }

  /** Spectrum of a sequence. */
  forward(re: Float64Array, im: Float64Array, outputRe: Float64Array, outputIm: Float64Array): void {
    requireLength('ComplexFft', this.size, re, im, outputRe, outputIm);
    this.#run(re, im, outputRe, outputIm, 1);
  }

  /** Sequence of a spectrum: the forward transform with real and imaginary parts exchanged before and after. */
  inverse(re: Float64Array, im: Float64Array, outputRe: Float64Array, outputIm: Float64Array): void {
    requireLength('ComplexFft', this.size, re, im, outputRe, outputIm);
    this.#run(im, re, outputIm, outputRe, 1 / this.size);
  }

  #run(re: Float64Array, im: Float64Array, outputRe: Float64Array, outputIm: Float64Array, scale: number): void {
    const input = this.#input;
    const output = this.#output;
    for (let i = 0; i < this.size; i++) {
      input[2 * i] = re[i];
      input[2 * i + 1] = im[i];
    }
    this.#transform.transform(output, input);
    for (let i = 0; i < this.size; i++) {
      outputRe[i] = output[2 * i] * scale;
      outputIm[i] = output[2 * i + 1] * scale;
    }
  }
}

/** Transform of `size` real numbers to `bins` = size/2 + 1 complex ones, from 0 Hz to half the sample rate. */
export class RealFft {
  /** Length of the sequence. */
  readonly size: number;
  /** Length of the spectrum. */
  readonly bins: number;
  readonly #half: ComplexFft;
  readonly #roots: Float64Array;
  readonly #re: Float64Array;
  readonly #im: Float64Array;

  /**
   * @param size - a power of two from 4 to 2^22
   * @throws RangeError for any other size
   */
  constructor(size: number) {
    requirePowerOfTwo('RealFft: size', size, 4);
    this.size = size;
    this.bins = size / 2 + 1;
    this.#half = new ComplexFft(size / 2);
    this.#roots = Float64Array.from(rootsOfUnity(size).slice(0, size / 2 + 2)); // W^k for k = 0 ... M/2
    this.#re = new Float64Array(size / 2);
    this.#im = new Float64Array(size / 2);
  }

  /** Spectrum `re`, `im` (`bins` values each) of the first `size` samples of `input`. */
  forward(input: Float64Array, re: Float64Array, im: Float64Array): void {
    requireLength('RealFft', this.size, input);
    requireLength('RealFft', this.bins, re, im);
    const roots = this.#roots;
    const zRe = this.#re;
    const zIm = this.#im;
    const last = this.size / 2;
    for (let m = 0; m < last; m++) {
      zRe[m] = input[2 * m];
      zIm[m] = input[2 * m + 1];
    }
    this.#half.forward(zRe, zIm, zRe, zIm);
    re[0] = zRe[0] + zIm[0];
    im[0] = 0;
    re[last] = zRe[0] - zIm[0];
    im[last] = 0;
    for (let k = 1; 2 * k <= last; k++) {
      const j = last - k;
      const evenRe = (zRe[k] + zRe[j]) / 2;
      const evenIm = (zIm[k] - zIm[j]) / 2;
      const oddRe = (zIm[k] + zIm[j]) / 2;
      const oddIm = (zRe[j] - zRe[k]) / 2;
      const turnedRe = roots[2 * k] * oddRe - roots[2 * k + 1] * oddIm;
      const turnedIm = roots[2 * k] * oddIm + roots[2 * k + 1] * oddRe;
      re[k] = evenRe + turnedRe;
      im[k] = evenIm + turnedIm;
      re[j] = evenRe - turnedRe;
      im[j] = turnedIm - evenIm;
    }
  }

  /** The `size` samples of a spectrum; the imaginary parts of its first and last bin count as 0. */
  inverse(re: Float64Array, im: Float64Array, output: Float64Array): void {
    requireLength('RealFft', this.bins, re, im);
    requireLength('RealFft', this.size, output);
    const roots = this.#roots;
    const zRe = this.#re;
    const zIm = this.#im;
    const last = this.size / 2;
    zRe[0] = (re[0] + re[last]) / 2;
    zIm[0] = (re[0] - re[last]) / 2;
    for (let k = 1; 2 * k <= last; k++) {
      const j = last - k;
      const evenRe = (re[k] + re[j]) / 2;
      const evenIm = (im[k] - im[j]) / 2;
      const turnedRe = (re[k] - re[j]) / 2;
      const turnedIm = (im[k] + im[j]) / 2;
      const oddRe = roots[2 * k] * turnedRe + roots[2 * k + 1] * turnedIm;
      const oddIm = roots[2 * k] * turnedIm - roots[2 * k + 1] * turnedRe;
      zRe[k] = evenRe - oddIm; // Z = E + i O, and Z[M-k] = conj(E) + i conj(O)
      zIm[k] = evenIm + oddRe;
      zRe[j] = evenRe + oddIm;
      zIm[j] = oddRe - evenIm;
    }
    this.#half.inverse(zRe, zIm, zRe, zIm);
    for (let m = 0; m < last; m++) {
      output[2 * m] = zRe[m];
      output[2 * m + 1] = zIm[m];
    }
  }
}

/**
 * e^(-2 pi i k / N) for k = 0 ... N-1 as re, im, re, im ...: from the angle to the nearest quarter turn, which is
 * small and so nearly exact, turned back by whole quarters, which is exact.
 */
function rootsOfUnity(size: number): number[] {
  const roots = reals(2 * size);
  for (let k = 0; k < size; k++) {
    const quarters = Math.floor((4 * k) / size + 0.5);
    const angle = (2 * Math.PI * (k - (quarters * size) / 4)) / size;
    const c = cos(angle);
    const s = sin(angle);
    roots[2 * k] = quarters & 1 ? (quarters & 2 ? s : -s) : quarters & 2 ? -c : c;
    roots[2 * k + 1] = quarters & 1 ? (quarters & 2 ? c : -c) : quarters & 2 ? s : -s;
  }
  return roots;
}

/** A plain array, with which fft.js is fastest, of the kind that engines keep as packed doubles from the start. */
function reals(length: number): number[] {
  const array: number[] = [];
  for (let i = 0; i < length; i++) array.push(0.5); // a whole number would make it an array of small integers
  return array;
}

function requirePowerOfTwo(name: string, size: number, smallest: number): void {
  requireInteger(name, size, smallest, LARGEST);
  if ((size & (size - 1)) !== 0) throw new RangeError(`${name} must be a power of two, got ${size}`);
}

function requireLength(owner: string, length: number, ...arrays: Float64Array[]): void {
  for (let i = 0; i < arrays.length; i++) {
    if (arrays[i].length < length) {
      throw new RangeError(`${owner}: arrays must hold at least ${length} values, got ${arrays[i].length}`);
    }
  }
}
