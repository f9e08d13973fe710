/** Octave bands of impulse responses, and noise whose bands decay as asked: both through the Fourier transform. */
import { RealFft } from '../../src/core/fft.ts';
import { numbers } from './signals.ts';

/** Silence after a response, in which a band filter may ring without running into the start. */
const PADDING_SECONDS = 0.3;

const powerOfTwo = (least: number): number => 2 ** Math.ceil(Math.log2(least));

/**
 * Octave-band filter: zero phase, the magnitude of a Butterworth band-pass with three pairs of poles,
 * 1 / sqrt(1 + (sqrt 2 (f/fm - fm/f))^6), which is -3 dB at fm / sqrt 2 and fm sqrt 2 (IEC 61260-1 base 2 edges).
 */
export function octaveBands(h: Float64Array, sampleRateHz: number, centresHz: readonly number[]): Float64Array[] {
  const size = powerOfTwo(h.length + PADDING_SECONDS * sampleRateHz);
  const fft = new RealFft(size);
  const input = new Float64Array(size);
  input.set(h);
  const re = new Float64Array(size / 2 + 1),
    im = new Float64Array(size / 2 + 1);
  fft.forward(input, re, im);
  return centresHz.map((centre) => {
    const bandRe = new Float64Array(re.length),
      bandIm = new Float64Array(im.length),
      band = new Float64Array(size);
    for (let k = 1; k < re.length; k++) {
      const f = (k * sampleRateHz) / size / centre;
      const u = Math.SQRT2 * (f - 1 / f);
      const magnitude = 1 / Math.sqrt(1 + u * u * u * u * u * u);
      bandRe[k] = magnitude * re[k];
      bandIm[k] = magnitude * im[k];
    }
    fft.inverse(bandRe, bandIm, band);
    return band.subarray(0, h.length);
  });
}

/** White noise that decays by 60 dB in `decaySeconds(f)` at every frequency: short stretches, each filtered for its time. */
export function decayingNoise(
  length: number,
  sampleRateHz: number,
  seed: number,
  decaySeconds: (frequencyHz: number) => number,
): Float64Array {
  const stretch = 128,
    size = 1024,
    lead = (size - stretch) / 2;
  const fft = new RealFft(size);
  const frame = new Float64Array(size),
    re = new Float64Array(size / 2 + 1),
    im = new Float64Array(size / 2 + 1);
  const rates = re.map((_, k) => (-3 * Math.LN10) / decaySeconds((k * sampleRateHz) / size));
  const next = numbers(seed);
  const out = new Float64Array(length);
  for (let start = 0; start < length; start += stretch) {
    frame.fill(0);
    for (let i = 0; i < stretch; i++) frame[lead + i] = 2 * next() - 1;
    fft.forward(frame, re, im);
    const time = (start + stretch / 2) / sampleRateHz;
    for (let k = 0; k < re.length; k++) {
      const gain = Math.exp(rates[k] * time);
      re[k] *= gain;
      im[k] *= gain;
    }
    fft.inverse(re, im, frame);
    for (let i = 0; i < size; i++) {
      const n = start - lead + i;
      if (n >= 0 && n < length) out[n] += frame[i];
    }
  }
  return out;
}
