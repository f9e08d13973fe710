/**
 * Octave bands of an impulse response: the magnitude of a Butterworth band-pass with three pairs of poles, without phase.
 *
 *     |H(f)| = 1 / sqrt(1 + (sqrt 2 (f / fm - fm / f))^6)         -3.01 dB at fm / sqrt 2 and fm sqrt 2
 *
 * Without phase nothing is moved in time, and a filter that rings as long before as after an event bends a decay less than
 * one that rings after it only.
 *
 * Source: IEC 61260-1:2014 for the edges, base 2 (from memory); the filter is this formula, worked by Fourier transform.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { RealFft } from '../core/fft.ts';

/** Silence after a response, in which a filter may ring without running into the start. */
const PADDING_SECONDS = 0.3;

/** Centres of the octave bands that are usual in rooms. */
const CENTRES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000];

/**
 * Centres of the octave bands, 63 Hz to 16 kHz, whose upper edge lies below half the sample rate.
 *
 * @throws RangeError for a sample rate outside 1 Hz to 1 GHz, TypeError for one that is no number
 */
export function octaveCentresHz(sampleRateHz: number): readonly number[] {
  requireRange('octaveCentresHz: sampleRateHz', sampleRateHz, 1, 1e9);
  return CENTRES_HZ.filter((centre) => centre * Math.SQRT2 < sampleRateHz / 2);
}

/**
 * The response in each of some octave bands, every one as long as the response itself.
 *
 * @param centresHz - each above 0 and below half the sample rate
 * @throws RangeError for a sample rate outside 1 Hz to 1 GHz, a centre out of range, or a response of more than 2^22 samples
 *   with 0.3 s of silence behind it; TypeError for a sample rate that is no number
 */
export function octaveBands(
  impulseResponse: Float32Array | Float64Array,
  sampleRateHz: number,
  centresHz: readonly number[],
): Float64Array[] {
  requireRange('octaveBands: sampleRateHz', sampleRateHz, 1, 1e9);
  let size = 4;
  while (size < impulseResponse.length + PADDING_SECONDS * sampleRateHz) size *= 2;
  const fft = new RealFft(size);
  const input = new Float64Array(size),
    re = new Float64Array(fft.bins),
    im = new Float64Array(fft.bins);
  input.set(impulseResponse);
  fft.forward(input, re, im);
  return centresHz.map((centre) => {
    requireRange('octaveBands: centresHz', centre, Number.MIN_VALUE, sampleRateHz / 2);
    const bandRe = new Float64Array(fft.bins),
      bandIm = new Float64Array(fft.bins);
    for (let k = 1; k < fft.bins; k++) {
      const f = (k * sampleRateHz) / size / centre;
      const u = 2 * (f - 1 / f) * (f - 1 / f);
      const magnitude = 1 / Math.sqrt(1 + u * u * u);
      bandRe[k] = magnitude * re[k];
      bandIm[k] = magnitude * im[k];
    }
    fft.inverse(bandRe, bandIm, input);
    return input.slice(0, impulseResponse.length);
  });
}
