/**
 * Discrete Fourier transform for convolution only: radix 2, in place, without reordering.
 *
 * The forward transform splits by frequency (natural order in, bit-reversed order out), the inverse splits by time (bit-reversed order in, natural out). A
 * product of two spectra does not care about the order, so neither has to be sorted. The inverse is not scaled.
 *
 * Source: W. M. Gentleman, G. Sande, "Fast Fourier transforms - for fun and profit", AFIPS 1966; J. W. Cooley,
 * J. W. Tukey, Math. Comp. 19, 1965.
 *
 * @module
 */
import { cos, sin } from '../core/maths.ts';

/** Transform of one size, a power of two. */
export class Transform {
  readonly size: number;
  readonly #cosines: Float64Array;
  readonly #sines: Float64Array;

  constructor(size: number) {
    this.size = size;
    this.#cosines = new Float64Array(size / 2);
    this.#sines = new Float64Array(size / 2);
    for (let i = 0; i < size / 2; i++) {
      this.#cosines[i] = cos((2 * Math.PI * i) / size);
      this.#sines[i] = sin((2 * Math.PI * i) / size);
    }
  }

  /** Natural order to bit-reversed order, in place. */
  forward(re: Float64Array, im: Float64Array): void {
    const cosines = this.#cosines;
    const sines = this.#sines;
    const size = this.size;
    for (let half = size >> 1, step = 1; half >= 1; half >>= 1, step <<= 1) {
      for (let start = 0; start < size; start += 2 * half) {
        for (let i = start, t = 0; i < start + half; i++, t += step) {
          const j = i + half;
          const dr = re[i] - re[j];
          const di = im[i] - im[j];
          re[i] += re[j];
          im[i] += im[j];
          const c = cosines[t];
          const s = sines[t];
          re[j] = dr * c + di * s;
          im[j] = di * c - dr * s;
        }
      }
    }
  }

  /** Bit-reversed order to natural order, in place, `size` times too large. */
  inverse(re: Float64Array, im: Float64Array): void {
    const cosines = this.#cosines;
    const sines = this.#sines;
    const size = this.size;
    for (let half = 1, step = size >> 1; half < size; half <<= 1, step >>= 1) {
      for (let start = 0; start < size; start += 2 * half) {
        for (let i = start, t = 0; i < start + half; i++, t += step) {
          const j = i + half;
          const c = cosines[t];
          const s = sines[t];
          const br = re[j] * c - im[j] * s;
          const bi = im[j] * c + re[j] * s;
          re[j] = re[i] - br;
          im[j] = im[i] - bi;
          re[i] += br;
          im[i] += bi;
        }
      }
    }
  }
}
