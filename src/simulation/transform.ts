/**
 * Discrete Fourier transform for convolution only: radix 4, in place, without reordering.
 *
 *     forward   x0..x3 a quarter apart ->  sums and differences  -> x twiddles w^0, w^t, w^2t, w^3t
 *     inverse   the same steps backwards, conjugated: x twiddles -> sums and differences
 *
 * The forward transform splits by frequency and leaves its result in digit-reversed order, the inverse starts from
 * that order. A product of two spectra does not care about the order, so neither has to be sorted. The inverse is not
 * scaled: both together multiply by the size.
 *
 * Source: W. M. Gentleman, G. Sande, "Fast Fourier transforms - for fun and profit", AFIPS 1966 (forward);
 * J. W. Cooley, J. W. Tukey, Math. Comp. 19, 1965 (inverse).
 *
 * @module
 */
import { cos, sin } from '../core/maths.ts';

/** Transform of one size, a power of two from 4 up. */
export class Transform {
  readonly size: number;
  /** Per stage, largest quarter first: cos and sin of the angles t, 2 t and 3 t, t from 0 to its quarter. */
  readonly #twiddles: readonly Float64Array[];

  constructor(size: number) {
    this.size = size;
    const twiddles: Float64Array[] = [];
    for (let quarter = size >> 2; quarter >= 1; quarter >>= 2) twiddles.push(stageTwiddles(quarter));
    this.#twiddles = twiddles;
  }

  /** Natural order to digit-reversed order, in place. */
  forward(re: Float64Array, im: Float64Array): void {
    for (const twiddles of this.#twiddles) forwardStage(re, im, twiddles);
    if (!isPowerOfFour(this.size)) pairs(re, im);
  }

  /** Digit-reversed order to natural order, in place, `size` times too large. */
  inverse(re: Float64Array, im: Float64Array): void {
    if (!isPowerOfFour(this.size)) pairs(re, im);
    for (let stage = this.#twiddles.length - 1; stage >= 0; stage--) inverseStage(re, im, this.#twiddles[stage]);
  }
}

function stageTwiddles(quarter: number): Float64Array {
  const twiddles = new Float64Array(6 * quarter);
  for (let t = 0; t < quarter; t++) {
    for (let multiple = 1; multiple <= 3; multiple++) {
      const angle = (2 * Math.PI * multiple * t) / (4 * quarter);
      twiddles[6 * t + 2 * multiple - 2] = cos(angle);
      twiddles[6 * t + 2 * multiple - 1] = sin(angle);
    }
  }
  return twiddles;
}

function forwardStage(re: Float64Array, im: Float64Array, twiddles: Float64Array): void {
  const q = twiddles.length / 6;
  for (let start = 0; start < re.length; start += 4 * q) {
    for (let t = 0; t < q; t++) {
      const i = start + t, j = i + q, k = j + q, l = k + q; // prettier-ignore
      const c1 = twiddles[6 * t], s1 = twiddles[6 * t + 1]; // prettier-ignore
      const c2 = twiddles[6 * t + 2], s2 = twiddles[6 * t + 3]; // prettier-ignore
      const c3 = twiddles[6 * t + 4], s3 = twiddles[6 * t + 5]; // prettier-ignore
      const sumR = re[i] + re[k], sumI = im[i] + im[k]; // prettier-ignore
      const difR = re[i] - re[k], difI = im[i] - im[k]; // prettier-ignore
      const oddR = re[j] + re[l], oddI = im[j] + im[l]; // prettier-ignore
      const turnR = im[j] - im[l], turnI = re[l] - re[j]; // prettier-ignore
      re[i] = sumR + oddR;
      im[i] = sumI + oddI;
      const aR = difR + turnR, aI = difI + turnI; // prettier-ignore
      re[j] = aR * c1 + aI * s1;
      im[j] = aI * c1 - aR * s1;
      const bR = sumR - oddR, bI = sumI - oddI; // prettier-ignore
      re[k] = bR * c2 + bI * s2;
      im[k] = bI * c2 - bR * s2;
      const dR = difR - turnR, dI = difI - turnI; // prettier-ignore
      re[l] = dR * c3 + dI * s3;
      im[l] = dI * c3 - dR * s3;
    }
  }
}

function inverseStage(re: Float64Array, im: Float64Array, twiddles: Float64Array): void {
  const q = twiddles.length / 6;
  for (let start = 0; start < re.length; start += 4 * q) {
    for (let t = 0; t < q; t++) {
      const i = start + t, j = i + q, k = j + q, l = k + q; // prettier-ignore
      const c1 = twiddles[6 * t], s1 = twiddles[6 * t + 1]; // prettier-ignore
      const c2 = twiddles[6 * t + 2], s2 = twiddles[6 * t + 3]; // prettier-ignore
      const c3 = twiddles[6 * t + 4], s3 = twiddles[6 * t + 5]; // prettier-ignore
      const aR = re[j] * c1 - im[j] * s1, aI = im[j] * c1 + re[j] * s1; // prettier-ignore
      const bR = re[k] * c2 - im[k] * s2, bI = im[k] * c2 + re[k] * s2; // prettier-ignore
      const dR = re[l] * c3 - im[l] * s3, dI = im[l] * c3 + re[l] * s3; // prettier-ignore
      const sumR = re[i] + bR, sumI = im[i] + bI; // prettier-ignore
      const difR = re[i] - bR, difI = im[i] - bI; // prettier-ignore
      const oddR = aR + dR, oddI = aI + dI; // prettier-ignore
      const turnR = dI - aI, turnI = aR - dR; // prettier-ignore
      re[i] = sumR + oddR;
      im[i] = sumI + oddI;
      re[j] = difR + turnR;
      im[j] = difI + turnI;
      re[k] = sumR - oddR;
      im[k] = sumI - oddI;
      re[l] = difR - turnR;
      im[l] = difI - turnI;
    }
  }
}

/** The stage that is left over when the size is twice a power of four; its own inverse but for a factor of 2. */
function pairs(re: Float64Array, im: Float64Array): void {
  for (let i = 0; i < re.length; i += 2) {
    const differenceRe = re[i] - re[i + 1];
    const differenceIm = im[i] - im[i + 1];
    re[i] += re[i + 1];
    im[i] += im[i + 1];
    re[i + 1] = differenceRe;
    im[i + 1] = differenceIm;
  }
}

function isPowerOfFour(size: number): boolean {
  return (31 - Math.clz32(size)) % 2 === 0;
}
