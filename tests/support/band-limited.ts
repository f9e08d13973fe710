/** Signals band-limited to 20/48 of the sample rate, and their waveform between the samples by ideal interpolation. */
import { RealFft } from '../../src/core/fft.ts';
import { kaiser } from '../../src/core/windows.ts';
import { numbers } from './signals.ts';

const FRAME = 1024;
const SOUND = 768; // of the frame; the rest is silence, so that the periodic interpolation below does not wrap around
const IDEAL = 64;
/** Cycles per sample: 20/48 less the main lobe of the window that fades the sound in and out. */
const HIGHEST = 20 / 48 - 3.4 / SOUND;

/**
 * A frame of random sound: a random part of the band, with a random tilt, or a few sines near its upper end, or an impulse.
 */
export function bandLimited(seed: number): Float64Array {
  const next = numbers(seed);
  const re = new Float64Array(FRAME / 2 + 1),
    im = new Float64Array(FRAME / 2 + 1);
  const kind = seed % 4;
  const last = Math.floor(HIGHEST * FRAME);
  const top = kind === 3 ? last : Math.round(last * (1 - 0.8 * next() ** 3));
  const tilt = 2 * next() - 1;
  const centre = 6.28 * FRAME * (0.4 + 0.2 * next());
  for (let k = 1; k <= top; k++) {
    if (kind === 2 && next() > 3 / FRAME && k < top) continue;
    const size = kind === 3 ? 1 : Math.sqrt(-2 * Math.log(1 - next())) * (k / last) ** tilt;
    const angle = kind === 3 ? (-k / FRAME) * centre : 2 * Math.PI * next();
    re[k] = size * Math.cos(angle);
    im[k] = size * Math.sin(angle);
  }
  const x = new Float64Array(FRAME);
  new RealFft(FRAME).inverse(re, im, x);
  const fade = kaiser(SOUND, 10);
  const start = (FRAME - SOUND) / 2;
  return x.map((v, n) => (n >= start && n < start + SOUND ? v * fade[n - start] : 0));
}

/** Largest magnitude of 64 points to the sample, by the Fourier transform: exact for a band-limited, periodic signal. */
export function idealPeak(x: Float64Array, idealFft = new RealFft(FRAME * IDEAL)): number {
  const re = new Float64Array((FRAME * IDEAL) / 2 + 1),
    im = new Float64Array((FRAME * IDEAL) / 2 + 1),
    y = new Float64Array(FRAME * IDEAL);
  new RealFft(FRAME).forward(x, re, im);
  re[FRAME / 2] = im[FRAME / 2] = 0; // half the sample rate, which no band-limited signal has
  idealFft.inverse(re, im, y);
  let most = 0;
  for (let i = 0; i < y.length; i++) most = Math.max(most, Math.abs(y[i]));
  return most * IDEAL;
}
