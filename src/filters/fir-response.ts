/**
 * Frequency response of an impulse response (the taps of an FIR filter): level, phase and group delay.
 *
 *     H(w) = sum h[n] e^(-jwn),     group delay = Re( sum n h[n] e^(-jwn) / H(w) )
 *
 * The group delay is minus the slope of the phase in closed form: differentiating H brings down a factor -jn.
 *
 * Source: A. V. Oppenheim, R. W. Schafer, "Discrete-Time Signal Processing" (from memory).
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { atan2, cos, log10, sin } from '../core/maths.ts';
import { requireBetween } from './biquad-coefficients.ts';
import type { FrequencyResponse, ResponseOptions } from './response.ts';

/**
 * Response of `taps`, the first of them at time 0. The phase is in (-pi, pi]; where the response is exactly zero the
 * level is -Infinity, the phase 0 and the group delay NaN.
 *
 * @throws RangeError for a sample rate or a frequency out of range, TypeError for one that is not a number.
 */
export function firResponse(
  taps: ArrayLike<number>,
  { sampleRateHz, frequenciesHz }: ResponseOptions,
): FrequencyResponse {
  requireBetween('firResponse: sampleRateHz', sampleRateHz, 0, Infinity);
  const length = frequenciesHz.length;
  const magnitudeDb = new Float64Array(length);
  const phaseRadians = new Float64Array(length);
  const groupDelaySamples = new Float64Array(length);

  for (let i = 0; i < length; i++) {
    const frequencyHz = requireRange('firResponse: frequenciesHz', frequenciesHz[i], 0, sampleRateHz / 2);
    const w = (2 * Math.PI * frequencyHz) / sampleRateHz;
    let re = 0;
    let im = 0;
    let momentRe = 0;
    let momentIm = 0;
    for (let n = 0; n < taps.length; n++) {
      const x = taps[n] * cos(w * n);
      const y = -taps[n] * sin(w * n);
      re += x;
      im += y;
      momentRe += n * x;
      momentIm += n * y;
    }
    const power = re * re + im * im;
    magnitudeDb[i] = 10 * log10(power);
    phaseRadians[i] = atan2(im, re);
    groupDelaySamples[i] = (momentRe * re + momentIm * im) / power;
  }
  return { magnitudeDb, phaseRadians, groupDelaySamples };
}
