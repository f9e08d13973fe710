/** Spectra of test signals. */
import { RealFft } from '../../src/core/fft.ts';
import { kaiser } from '../../src/core/windows.ts';

/** Points of an alias measurement, and the window that makes lines 300 dB deep visible beside each other. */
export const POINTS = 65_536;
const BETA = 28;

/** Amplitude of every bin, so that a sine between bins still reads its amplitude within the window's scallop. */
export function amplitudes(signal: Float64Array): Float64Array {
  const window = kaiser(POINTS, BETA);
  const gain = window.reduce((sum, w) => sum + w, 0) / 2;
  const re = new Float64Array(POINTS / 2 + 1),
    im = new Float64Array(POINTS / 2 + 1);
  new RealFft(POINTS).forward(
    signal.subarray(0, POINTS).map((x, i) => x * window[i]),
    re,
    im,
  );
  return re.map((r, k) => Math.hypot(r, im[k]) / gain);
}

/**
 * Worst line from 20 Hz to 20 kHz that is no harmonic, relative to the fundamental, in dB: bins within 25 Hz of a
 * harmonic are left out.
 */
export function worstAlias(signal: Float64Array, fundamentalHz: number, sampleRateHz: number): number {
  const spectrum = amplitudes(signal);
  const binHz = sampleRateHz / POINTS;
  let alias = 0,
    fundamental = 0;
  for (let k = 0; k < spectrum.length; k++) {
    const f = k * binHz;
    const nearest = Math.round(f / fundamentalHz);
    const away = Math.abs(f - nearest * fundamentalHz);
    if (nearest === 1 && away <= 25) fundamental = Math.max(fundamental, spectrum[k]);
    if (f >= 20 && f <= 20_000 && (away > 25 || nearest === 0)) alias = Math.max(alias, spectrum[k]);
  }
  return 20 * Math.log10(alias / fundamental);
}

/** Amplitude of one frequency, by projection on its sine and cosine over the window. */
export function amplitudeAt(signal: Float64Array, frequencyHz: number, sampleRateHz: number): number {
  const window = kaiser(POINTS, BETA);
  let re = 0,
    im = 0,
    sum = 0;
  for (let n = 0; n < POINTS; n++) {
    const angle = (2 * Math.PI * frequencyHz * n) / sampleRateHz;
    re += window[n] * signal[n] * Math.cos(angle);
    im += window[n] * signal[n] * Math.sin(angle);
    sum += window[n];
  }
  return (2 * Math.hypot(re, im)) / sum;
}
