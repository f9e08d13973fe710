/**
 * K-weighting: the two filters that a loudness meter hears through, at any sample rate.
 *
 *     stage 1   high shelf of +4 dB: the head        stage 2   high-pass at 38 Hz: the ear's dislike of low frequencies
 *
 *     K = tan(pi f0 / fs),   a0 = 1 + K/Q + K^2,   a1 = 2 (K^2 - 1) / a0,   a2 = (1 - K/Q + K^2) / a0
 *     stage 1   b = [Vh + Vb K/Q + K^2, 2 (K^2 - Vh), Vh - Vb K/Q + K^2] / a0
 *     stage 2   b = c [1, -2, 1]
 *
 * At 48 kHz these are the tables of the recommendation. There stage 2 has the numerator 1, -2, 1, which is +0.04 dB in
 * the pass band; c keeps that gain at the other rates, since the recommendation asks for the same response. What the
 * bilinear transform bends at low rates remains: {@link kWeighting} tells how much.
 *
 * Source: Recommendation ITU-R BS.1770-5 (11/2023), Annex 1, Tables 1 and 2. The parametric form and its constants
 * reproduce both tables to 1e-15 and are widely published; the recommendation does not give them.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { pow, tanPi } from '../core/maths.ts';
import { dbToGain } from '../core/decibels.ts';
import type { BiquadCoefficients } from '../filters/biquad-coefficients.ts';

const SHELF = { frequencyHz: 1681.974450955533, gainDb: 3.999843853973347, q: 0.7071752369554196 };
const SHELF_MIDDLE_EXPONENT = 0.4996667741545416; // Vb = Vh to this power
const HIGHPASS = { frequencyHz: 38.13547087602444, q: 0.5003270373238773 };
const TABLE_RATE_HZ = 48000;

/**
 * The two sections at a sample rate. Measured against the response at 48 kHz, up to half the sample rate:
 *
 *     sample rate   at 997 Hz    at 2 kHz     anywhere
 *      8000 Hz      -0.201 dB    +0.208 dB    within 0.29 dB
 *     11025 Hz      -0.103 dB    +0.098 dB    within 0.15 dB
 *     16000 Hz      -0.046 dB    +0.041 dB    within 0.07 dB
 *     22050 Hz      -0.021 dB    +0.019 dB    within 0.031 dB
 *     32 kHz up                               within 0.011 dB up to 10 kHz
 *
 * @param sampleRateHz - 8000 to 384000
 * @throws RangeError for a sample rate out of range, TypeError for one that is no number
 */
export function kWeighting(sampleRateHz: number): readonly BiquadCoefficients[] {
  requireRange('kWeighting: sampleRateHz', sampleRateHz, 8000, 384000);
  const shelf = denominator(SHELF.frequencyHz, SHELF.q, sampleRateHz);
  const high = dbToGain(SHELF.gainDb),
    middle = pow(high, SHELF_MIDDLE_EXPONENT);
  const { k, a0 } = shelf;
  const slope = (middle * k) / SHELF.q;
  const highpass = denominator(HIGHPASS.frequencyHz, HIGHPASS.q, sampleRateHz);
  const c = denominator(HIGHPASS.frequencyHz, HIGHPASS.q, TABLE_RATE_HZ).a0 / highpass.a0;
  return [
    {
      b0: (high + slope + k * k) / a0,
      b1: (2 * (k * k - high)) / a0,
      b2: (high - slope + k * k) / a0,
      a1: shelf.a1,
      a2: shelf.a2,
    },
    { b0: c, b1: -2 * c, b2: c, a1: highpass.a1, a2: highpass.a2 },
  ];
}

function denominator(frequencyHz: number, q: number, sampleRateHz: number) {
  const k = tanPi(frequencyHz, sampleRateHz);
  const a0 = 1 + k / q + k * k;
  return { k, a0, a1: (2 * (k * k - 1)) / a0, a2: (1 - k / q + k * k) / a0 };
}
