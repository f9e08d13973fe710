/** The best-sum position sought the naive way, and levels of sums: with a low-pass of the tests' own. */
import { peak } from '../support/signals.ts';

/** Butterworth low-pass of order 4, designed and run here: two sections by the bilinear transform. */
export function lowPassed(x: ArrayLike<number>, cornerHz: number, sampleRateHz: number): Float64Array {
  let y = Float64Array.from(x);
  const w = Math.tan((Math.PI * cornerHz) / sampleRateHz);
  for (const q of [1 / (2 * Math.sin(Math.PI / 8)), 1 / (2 * Math.sin((3 * Math.PI) / 8))]) {
    const a0 = 1 + w / q + w * w;
    const b = (w * w) / a0,
      a1 = (2 * (w * w - 1)) / a0,
      a2 = (1 - w / q + w * w) / a0;
    const out = new Float64Array(y.length);
    for (let n = 0; n < y.length; n++) {
      const [x1, x2, y1, y2] = [y[n - 1] ?? 0, y[n - 2] ?? 0, out[n - 1] ?? 0, out[n - 2] ?? 0];
      out[n] = b * (y[n] + 2 * x1 + x2) - a1 * y1 - a2 * y2;
    }
    y = out;
  }
  return y;
}

/** Where a sample adds the most energy to a microphone: every position within `reach` of `start`, and both polarities. */
export function mostEnergy(
  microphone: Float64Array,
  sample: Float64Array,
  start: number,
  reach: number,
): { readonly start: number; readonly polarity: 1 | -1 } {
  let most = -Infinity;
  let best: { start: number; polarity: 1 | -1 } = { start, polarity: 1 };
  for (const polarity of [1, -1] as const) {
    for (let from = start - reach; from <= start + reach; from++) {
      let added = 0; // (m + s)^2 - m^2
      for (let i = 0; i < sample.length; i++) added += sample[i] * (2 * polarity * microphone[from + i] + sample[i]);
      if (added > most) {
        most = added;
        best = { start: from, polarity };
      }
    }
  }
  return best;
}

const level = (x: Float64Array): number => 10 * Math.log10(x.reduce((sum, v) => sum + v * v, 0));

/** By how many dB the sum of two signals is above the louder of them: by energy and by peak. */
export function gainOfSum(a: Float64Array, b: Float64Array): { energyDb: number; peakDb: number } {
  const sum = a.map((x, i) => x + b[i]);
  const louder = Math.max(peak(a), peak(b));
  return {
    energyDb: level(sum) - Math.max(level(a), level(b)),
    peakDb: 20 * Math.log10(peak(sum) / louder),
  };
}
