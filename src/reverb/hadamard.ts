/**
 * Mixes 8 or 16 signals by the Hadamard matrix: every output hears all inputs alike, with signs + and -, and no energy is
 * lost or gained.
 *
 *     H1 = [1],    H2N = 1/sqrt(2) [HN  HN]        H H^T = 1
 *                                  [HN -HN]
 *
 * Four signals at a time: two rounds make 16. The factor of such a round, 1/2, is exact.
 *
 * Source: J.-M. Jot, "Efficient models for reverberation and distance rendering in computer music and virtual audio
 * reality", ICMC 1997, for this matrix in a network (from memory); the fast transform is common knowledge.
 *
 * @module
 */

/** Mixes `x[0 .. lines)[0 .. count)` in place; `x` has 8 or 16 signals. */
export function mixByHadamard(x: readonly Float64Array[], count: number): void {
  const lines = x.length;
  for (let i = 0; i < lines; i += 4) mixFour(x[i], x[i + 1], x[i + 2], x[i + 3], count);
  if (lines === 8) for (let i = 0; i < 4; i++) mixTwo(x[i], x[i + 4], count);
  else for (let i = 0; i < 4; i++) mixFour(x[i], x[i + 4], x[i + 8], x[i + 12], count);
}

function mixFour(a: Float64Array, b: Float64Array, c: Float64Array, d: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) {
    const sumAb = 0.5 * (a[i] + b[i]),
      differenceAb = 0.5 * (a[i] - b[i]),
      sumCd = 0.5 * (c[i] + d[i]),
      differenceCd = 0.5 * (c[i] - d[i]);
    a[i] = sumAb + sumCd;
    b[i] = differenceAb + differenceCd;
    c[i] = sumAb - sumCd;
    d[i] = differenceAb - differenceCd;
  }
}

function mixTwo(a: Float64Array, b: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) {
    const sum = Math.SQRT1_2 * (a[i] + b[i]),
      difference = Math.SQRT1_2 * (a[i] - b[i]);
    a[i] = sum;
    b[i] = difference;
  }
}
