/** Signals band-limited to 20/48 of the sample rate, and their waveform between the samples by ideal interpolation. */
import { RealFft } from '../../src/core/fft.ts';
import { kaiser } from '../../src/core/windows.ts';
import { numbers } from './signals.ts';

const FRAME = 1024;
const SOUND = 768; // of the frame; the rest is silence, so that the periodic interpolation below does not wrap around
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

/**
 * Largest magnitude of so many points to the sample, by the Fourier transform: ideal interpolation of a signal that repeats,
 * so it must begin and end in silence. Its length and `points` are powers of two.
 */
export function idealPeak(x: Float64Array, points: number): number {
  const length = x.length * points;
  const re = new Float64Array(length / 2 + 1),
    im = new Float64Array(length / 2 + 1),
    y = new Float64Array(length);
  new RealFft(x.length).forward(x, re, im);
  re[x.length / 2] = im[x.length / 2] = 0; // half the sample rate, whose phase is not known
  transformOf(length).inverse(re, im, y);
  let most = 0;
  for (let i = 0; i < length; i++) most = Math.max(most, Math.abs(y[i]));
  return most * points;
}

const transforms = new Map<number, RealFft>();

function transformOf(size: number): RealFft {
  const known = transforms.get(size) ?? new RealFft(size);
  transforms.set(size, known);
  return known;
}

/** The same sound without what is above 20/48 of the sample rate: a linear-phase filter of 801 taps, from its start on. */
export function limitBand(x: Float64Array): Float64Array {
  const size = 2 * x.length;
  const [re, im, hRe, hIm] = Array.from({ length: 4 }, () => new Float64Array(size / 2 + 1));
  const frame = new Float64Array(size);
  frame.set(x);
  transformOf(size).forward(frame, re, im);
  frame.fill(0).set(bandTaps());
  transformOf(size).forward(frame, hRe, hIm);
  for (let k = 0; k < re.length; k++) {
    const product = re[k] * hRe[k] - im[k] * hIm[k];
    im[k] = re[k] * hIm[k] + im[k] * hRe[k];
    re[k] = product;
  }
  transformOf(size).inverse(re, im, frame);
  return frame.slice(0, x.length);
}

/** Stops 80 dB and more from 20/48 on: a Kaiser window (beta 8), its -6 dB point half its main lobe below. */
function bandTaps(): Float64Array {
  const length = 801,
    window = kaiser(length, 8);
  const cutoff = 20 / 48 - 2.8 / length;
  return window.map((w, n) => {
    const t = n - (length - 1) / 2;
    return w * (t === 0 ? 2 * cutoff : Math.sin(2 * Math.PI * cutoff * t) / (Math.PI * t));
  });
}
