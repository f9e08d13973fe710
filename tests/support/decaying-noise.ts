/** Noise whose bands decay as asked, through the Fourier transform. */
import { RealFft } from '../../src/core/fft.ts';
import { numbers } from './signals.ts';

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
