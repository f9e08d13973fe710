/**
 * Solves A x = b for a Hermitian positive definite matrix of complex numbers, by its Cholesky factors.
 *
 *     A = L L^H,     L z = b,     L^H x = z
 *
 * @module
 */

/** A square complex matrix or a vector: values row by row. */
export interface Complex {
  /** Real parts. */
  readonly re: Float64Array;
  /** Imaginary parts. */
  readonly im: Float64Array;
}

/** Zeros. */
export function complexZeros(length: number): Complex {
  return { re: new Float64Array(length), im: new Float64Array(length) };
}

/** Replaces `b` by the solution; `a` by its factor L (below and on the diagonal). False if `a` is not positive definite. */
export function solveHermitian(a: Complex, b: Complex, size: number): boolean {
  if (!factorise(a, size)) return false;
  for (let i = 0; i < size; i++) substitute(a, b, size, i, 0, i, false);
  for (let i = size - 1; i >= 0; i--) substitute(a, b, size, i, i + 1, size, true);
  return true;
}

function factorise({ re, im }: Complex, size: number): boolean {
  for (let j = 0; j < size; j++) {
    for (let i = j; i < size; i++) {
      let sumRe = re[i * size + j],
        sumIm = im[i * size + j];
      for (let k = 0; k < j; k++) {
        const p = i * size + k,
          q = j * size + k;
        sumRe -= re[p] * re[q] + im[p] * im[q];
        sumIm -= im[p] * re[q] - re[p] * im[q];
      }
      if (i === j) {
        if (!(sumRe > 0)) return false;
        re[j * size + j] = Math.sqrt(sumRe);
        im[j * size + j] = 0;
      } else {
        re[i * size + j] = sumRe / re[j * size + j];
        im[i * size + j] = sumIm / re[j * size + j];
      }
    }
  }
  return true;
}

/** x[i] = (x[i] - sum over k of M[i][k] x[k]) / L[i][i], where M is L, or L^H. */
function substitute(l: Complex, x: Complex, size: number, i: number, from: number, to: number, adjoint: boolean): void {
  for (let k = from; k < to; k++) {
    const at = adjoint ? k * size + i : i * size + k;
    const re = l.re[at],
      im = adjoint ? -l.im[at] : l.im[at];
    x.re[i] -= re * x.re[k] - im * x.im[k];
    x.im[i] -= re * x.im[k] + im * x.re[k];
  }
  x.re[i] /= l.re[i * size + i];
  x.im[i] /= l.re[i * size + i];
}
