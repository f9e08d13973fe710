/**
 * Best sum: where, and with which polarity, a sample adds up with a recorded hit to the most of the drum's low band.
 *
 *     E(d) = sum over n of (m[n] +- g s[n - d])^2 = M + g^2 S +- 2 g C(d),     C(d) = sum over n of m[n] s[n - d]
 *
 * m is the low band of the microphone and s that of the sample's start. The energies M and S are the same for every d
 * within reach, so the largest sum stands where |C| is largest, with the sign of C; it is never below that of the louder
 * of the two. The low band is that of a Butterworth low-pass of order 4, the same for both.
 *
 * Source: C. H. Knapp, G. C. Carter, "The Generalized Correlation Method for Estimation of Time Delay", IEEE Trans.
 * Acoustics, Speech, and Signal Processing 24(4), 1976, for the delay at the peak of the filtered cross-correlation (from
 * memory).
 *
 * @module
 */
import { BiquadCascade } from '../filters/biquad-cascade.ts';
import { butterworthLowpass } from '../filters/butterworth.ts';

/** A whole shift, and whether the sample is turned over. */
export interface BestSum {
  /** By how much later than asked the sample stands. */
  readonly offsetSamples: number;
  readonly polarity: 1 | -1;
}

/** Low-pass of the low band. */
export class LowBand {
  readonly #cascade: BiquadCascade;

  constructor(sampleRateHz: number, lowBandHz: number) {
    const sections = butterworthLowpass({ sampleRateHz, frequencyHz: lowBandHz, order: 4 });
    this.#cascade = new BiquadCascade({ sampleRateHz, channels: 1 }, sections);
  }

  /** Replaces a signal, before which there was silence, by its low band. */
  filter(x: Float64Array): void {
    this.#cascade.reset();
    this.#cascade.process([x], [x]);
  }
}

/**
 * The best sum of `sample` and `microphone` within `reach` samples to both sides.
 *
 * @param microphone - low band of the recording; as asked, the sample's first value falls on `microphone[reach]`
 * @param sample - low band of the sample's start; `microphone` is longer by twice the reach
 */
export function bestSum(microphone: Float64Array, sample: Float64Array, reach: number): BestSum {
  let best = 0,
    offsetSamples = 0;
  for (let step = 0; step <= 2 * reach; step++) {
    // From the middle outward, so that of equal sums the nearest is taken.
    const offset = step & 1 ? -(step + 1) / 2 : step / 2;
    const product = correlation(microphone, sample, reach + offset);
    if (Math.abs(product) > Math.abs(best)) {
      best = product;
      offsetSamples = offset;
    }
  }
  return { offsetSamples, polarity: best < 0 ? -1 : 1 };
}

function correlation(microphone: Float64Array, sample: Float64Array, start: number): number {
  let sum = 0;
  for (let i = 0; i < sample.length; i++) sum += microphone[start + i] * sample[i];
  return sum;
}
