/**
 * Direct convolution of a stretch of samples with a short kernel.
 *
 * @module
 */

/** Outputs that the inner loop makes at a time. */
const LANES = 4;

/**
 * y[i] = sum over j of taps[j] w[i + j], i = 0 .. count - 1. Four outputs at a time share the loading of a tap; the order
 * of each sum is the same wherever it stands.
 */
export function convolve(w: Float64Array, taps: Float64Array, count: number, y: Float64Array): void {
  const shared = count - (count % LANES);
  for (let i = 0; i < shared; i += LANES) {
    let a = 0,
      b = 0,
      c = 0,
      d = 0;
    for (let j = 0; j < taps.length; j++) {
      const tap = taps[j],
        p = i + j;
      a += tap * w[p];
      b += tap * w[p + 1];
      c += tap * w[p + 2];
      d += tap * w[p + 3];
    }
    y[i] = a;
    y[i + 1] = b;
    y[i + 2] = c;
    y[i + 3] = d;
  }
  for (let i = shared; i < count; i++) {
    let sum = 0;
    for (let j = 0; j < taps.length; j++) sum += taps[j] * w[i + j];
    y[i] = sum;
  }
}
