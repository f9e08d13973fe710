/**
 * Spectrum of a whole sound: averaged periodograms, summed up in bands of a 24th of an octave.
 *
 *     frames of N = 2^15 samples, half a frame apart, all inside the sound, under a Blackman-Harris window w
 *     level of a band = 10 log10 ( 2 sum |X_k|^2 / (frames N sum w^2) )      0 dB: a square wave of full scale
 *
 * Frames that reach over an end would spread what a sine has there over all frequencies.
 *
 * Source: P. D. Welch, "The Use of Fast Fourier Transform for the Estimation of Power Spectra", IEEE Trans. Audio
 * Electroacoust. 15(2), 1967 (from memory).
 *
 * @module
 */
import { blackmanHarris, RealFft } from 'batterhead/core';
import type { Sound } from './render.ts';

const FRAME = 32_768;
const BANDS_PER_OCTAVE = 24;
const LOWEST_HZ = 20;
const SILENCE_DB = -200;

/** Power of each bin, averaged over frames and channels. */
export function binPowers({ channels }: Sound, window: Float64Array): Float64Array {
  const size = window.length;
  const powers = new Float64Array(size / 2 + 1);
  const [re, im, windowed] = [new Float64Array(powers.length), new Float64Array(powers.length), new Float64Array(size)];
  const fft = new RealFft(size);
  const scale = 2 / (size * window.reduce((sum, w) => sum + w * w, 0));
  let frames = 0;
  for (const x of channels) {
    for (let start = 0; start === 0 || start + size <= x.length; start += size / 2, frames++) {
      for (let i = 0; i < size; i++) windowed[i] = start + i < x.length ? window[i] * x[start + i] : 0;
      fft.forward(windowed, re, im);
      for (let k = 0; k < powers.length; k++) powers[k] += scale * (re[k] * re[k] + im[k] * im[k]);
    }
  }
  return powers.map((power) => power / frames);
}

/** Centres of the bands, up to 20 kHz or to the end of what there is. */
export function bandCentres(sampleRateHz: number): Float64Array {
  const octaves = Math.log2(Math.min(20_000, 0.49 * sampleRateHz) / LOWEST_HZ);
  return Float64Array.from(
    { length: Math.floor(octaves * BANDS_PER_OCTAVE) + 1 },
    (_, b) => LOWEST_HZ * 2 ** (b / BANDS_PER_OCTAVE),
  );
}

/** Level in each band, in dB. A band that is narrower than a bin has its share of the bin. */
export function bandLevels(sound: Sound): Float64Array {
  const powers = binPowers(sound, blackmanHarris(FRAME, { periodic: true }));
  const binHz = sound.sampleRateHz / FRAME;
  const half = 2 ** (0.5 / BANDS_PER_OCTAVE);
  return bandCentres(sound.sampleRateHz).map((centre) => {
    const power = between(powers, centre / half / binHz, (centre * half) / binHz);
    return power > 0 ? Math.max(SILENCE_DB, 10 * Math.log10(power)) : SILENCE_DB;
  });
}

/** Sum of the bins between two positions; each bin reaches half a bin to either side. */
function between(powers: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let k = Math.round(from); k <= Math.min(Math.round(to), powers.length - 1); k++) {
    sum += powers[k] * (Math.min(to, k + 0.5) - Math.max(from, k - 0.5));
  }
  return sum;
}
