/**
 * Sections in arithmetic of about 32 digits: every number is an unevaluated sum of two doubles.
 * Source: T. J. Dekker, "A floating-point technique for extending the available precision", Numerische Mathematik 18,
 * 1971 (exact sum and product).
 */
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';

const SPLIT = 2 ** 27 + 1;

/** Direct form 1 with the given coefficients, rounded once at the end. */
export function filterExactly(sections: readonly BiquadCoefficients[], input: ArrayLike<number>): Float64Array {
  const length = input.length;
  let high: Float64Array = Float64Array.from(input);
  let low: Float64Array = new Float64Array(length);
  for (const { b0, b1, b2, a1, a2 } of sections) {
    const yHigh = new Float64Array(length);
    const yLow = new Float64Array(length);
    let sum = 0;
    let rest = 0;
    const add = (factor: number, h: number, l: number): void => {
      // product = p + e exactly, up to the last place of the low part
      const p = factor * h;
      const f = SPLIT * factor - (SPLIT * factor - factor);
      const g = SPLIT * h - (SPLIT * h - h);
      const e = f * g - p + f * (h - g) + (factor - f) * g + (factor - f) * (h - g);
      // sum + p exactly
      const s = sum + p;
      const t = s - sum;
      rest += sum - (s - t) + (p - t) + e + factor * l;
      sum = s;
    };
    for (let n = 0; n < length; n++) {
      sum = rest = 0;
      add(b0, high[n], low[n]);
      if (n > 0) add(b1, high[n - 1], low[n - 1]);
      if (n > 1) add(b2, high[n - 2], low[n - 2]);
      if (n > 0) add(-a1, yHigh[n - 1], yLow[n - 1]);
      if (n > 1) add(-a2, yHigh[n - 2], yLow[n - 2]);
      yHigh[n] = sum + rest;
      yLow[n] = rest - (yHigh[n] - sum);
    }
    high = yHigh;
    low = yLow;
  }
  return high;
}
