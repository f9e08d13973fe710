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
import { cosOfTurns } from './maths.ts';

const LARGEST = 4194304; // 2^22

/** Transform of `size` complex numbers. The arrays given may be longer than needed, and input may be output. */
export class ComplexFft {
  /** Length of the sequence and of its spectrum. */
  readonly size: number;
  readonly #transform: Transform;

  /**
   * @param size - a power of two from 2 to 2^22
   * @throws RangeError for any other size
   */
  constructor(size: number) {
    requirePowerOfTwo('ComplexFft: size', size, 2);
    this.size = size;
    this.#transform = new Transform(size);
  }

  /** Spectrum of a sequence. */
  forward(re: Float64Array, im: Float64Array, outputRe: Float64Array, outputIm: Float64Array): void {
    requireLength('ComplexFft', this.size, re, im);
    requireLength('ComplexFft', this.size, outputRe, outputIm);
    this.#run(re, im, outputRe, outputIm, 1);
  }

  /** Sequence of a spectrum. */
  inverse(re: Float64Array, im: Float64Array, outputRe: Float64Array, outputIm: Float64Array): void {
    requireLength('ComplexFft', this.size, re, im);
    requireLength('ComplexFft', this.size, outputRe, outputIm);
    this.#run(im, re, outputIm, outputRe, 1 / this.size); // parts exchanged before and after
  }

  #run(re: Float64Array, im: Float64Array, outputRe: Float64Array, outputIm: Float64Array, scale: number): void {
    const size = this.size;
    const z = this.#transform.input;
    const Z = this.#transform.output;
    for (let n = 0; n < size; n++) {
      z[2 * n] = re[n];
      z[2 * n + 1] = im[n];
    }
    this.#transform.run();
    for (let k = 0; k < size; k++) {
      outputRe[k] = Z[2 * k] * scale;
      outputIm[k] = Z[2 * k + 1] * scale;
    }
  }
}

/**
 * Transform of `size` real numbers to `bins` complex ones, from 0 Hz to half the sample rate. The arrays given may be
 * longer than needed.
 */
export class RealFft {
  /** Length of the sequence. */
  readonly size: number;
  /** Length of the spectrum: size/2 + 1. */
  readonly bins: number;
  readonly #transform: Transform;
  readonly #roots: Float64Array; // W^k as re, im, re, im ... for k = 0 ... M/2

  /**
   * @param size - a power of two from 4 to 2^22
   * @throws RangeError for any other size
   */
  constructor(size: number) {
    requirePowerOfTwo('RealFft: size', size, 4);
    this.size = size;
    this.bins = size / 2 + 1;
    this.#transform = new Transform(size / 2);
    this.#roots = Float64Array.from(rootsOfUnity(size, size / 4 + 1));
  }

  /** Spectrum `re`, `im` of the sequence `input`. */
  forward(input: Float64Array, re: Float64Array, im: Float64Array): void {
    requireLength('RealFft', this.size, input, input);
    requireLength('RealFft', this.bins, re, im);
    const roots = this.#roots;
    const z = this.#transform.input;
    const Z = this.#transform.output;
    const last = this.size / 2;
    for (let n = 0; n < this.size; n++) z[n] = input[n];
    this.#transform.run();
    re[0] = Z[0] + Z[1];
    im[0] = 0;
    re[last] = Z[0] - Z[1];
    im[last] = 0;
    for (let k = 1; 2 * k <= last; k++) {
      const j = last - k;
      const evenRe = (Z[2 * k] + Z[2 * j]) / 2;
      const evenIm = (Z[2 * k + 1] - Z[2 * j + 1]) / 2;
      const oddRe = (Z[2 * k + 1] + Z[2 * j + 1]) / 2;
      const oddIm = (Z[2 * j] - Z[2 * k]) / 2;
      const turnedRe = roots[2 * k] * oddRe - roots[2 * k + 1] * oddIm;
      const turnedIm = roots[2 * k] * oddIm + roots[2 * k + 1] * oddRe;
      re[k] = evenRe + turnedRe;
      im[k] = evenIm + turnedIm;
      re[j] = evenRe - turnedRe;
      im[j] = turnedIm - evenIm;
    }
  }

  /** Sequence of a spectrum, of which the imaginary parts of the first and the last bin count as 0. */
  inverse(re: Float64Array, im: Float64Array, output: Float64Array): void {
    requireLength('RealFft', this.bins, re, im);
    requireLength('RealFft', this.size, output, output);
    const roots = this.#roots;
    const Z = this.#transform.input; // Z = E + i O with its parts exchanged, which inverts the transform
    const z = this.#transform.output;
    const last = this.size / 2;
    Z[1] = (re[0] + re[last]) / 2;
    Z[0] = (re[0] - re[last]) / 2;
    for (let k = 1; 2 * k <= last; k++) {
      const j = last - k;
      const evenRe = (re[k] + re[j]) / 2;
      const evenIm = (im[k] - im[j]) / 2;
      const turnedRe = (re[k] - re[j]) / 2;
      const turnedIm = (im[k] + im[j]) / 2;
      const oddRe = roots[2 * k] * turnedRe + roots[2 * k + 1] * turnedIm;
      const oddIm = roots[2 * k] * turnedIm - roots[2 * k + 1] * turnedRe;
      Z[2 * k + 1] = evenRe - oddIm;
      Z[2 * k] = evenIm + oddRe;
      Z[2 * j + 1] = evenRe + oddIm;
      Z[2 * j] = oddRe - evenIm;
    }
    this.#transform.run();
    const scale = 1 / last;
    for (let n = 0; n < this.size; n += 2) {
      output[n] = z[n + 1] * scale;
      output[n + 1] = z[n] * scale;
    }
  }
}

/** fft.js with its buffers, complex numbers as re, im, re, im ... */
class Transform {
  readonly input: number[];
  readonly output: number[];
  readonly #fft: FFT;

  constructor(size: number) {
    this.input = reals(2 * size);
    this.output = reals(2 * size);
    this.#fft = new FFT(size);
    this.#fft.table = rootsOfUnity(size, size);
  }

  run(): void {
    this.#fft.transform(this.output, this.input);
  }
}

/** e^(-2 pi i k / N) for k = 0 ... count - 1, as re, im, re, im ... */
function rootsOfUnity(size: number, count: number): number[] {
  const roots = reals(2 * count);
  for (let k = 0; k < count; k++) {
    roots[2 * k] = cosOfTurns(k / size);
    roots[2 * k + 1] = cosOfTurns(k / size + 0.25);
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

function requireLength(owner: string, length: number, a: Float64Array, b: Float64Array): void {
  const shorter = Math.min(a.length, b.length);
  if (shorter < length) throw new RangeError(`${owner}: arrays must hold at least ${length} values, got ${shorter}`);
}
