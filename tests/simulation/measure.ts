/** Plain measurements for the simulator's tests, written against the definitions and sharing no code with `src/`. */

/** One value of the Fourier transform of `samples` at `frequencyCycles` (cycles per sample), time counted from `origin`. */
export function transformAt(samples: Float64Array, frequencyCycles: number, origin = 0): { re: number; im: number } {
  let re = 0;
  let im = 0;
  for (let n = 0; n < samples.length; n++) {
    if (samples[n] === 0) continue;
    const angle = 2 * Math.PI * frequencyCycles * (n - origin);
    re += samples[n] * Math.cos(angle);
    im -= samples[n] * Math.sin(angle);
  }
  return { re, im };
}

export function peakOf(samples: Float64Array): number {
  let peak = 0;
  for (const sample of samples) peak = Math.max(peak, Math.abs(sample));
  return peak;
}

export function rmsOf(samples: Float64Array): number {
  let sum = 0;
  for (const sample of samples) sum += sample * sample;
  return Math.sqrt(sum / samples.length);
}

export const toDb = (gain: number): number => 20 * Math.log10(gain);

/** Largest absolute difference of two signals of the same length. */
export function largestDifference(a: Float64Array, b: Float64Array): number {
  if (a.length !== b.length) return Infinity;
  let most = 0;
  for (let i = 0; i < a.length; i++) most = Math.max(most, Math.abs(a[i] - b[i]));
  return most;
}

/** Bessel function J_m(x) by Bessel's integral (1/pi) int cos(m t - x sin t) dt: exact for periodic integrands. */
export function besselByIntegral(order: number, x: number): number {
  const steps = 400;
  let sum = 0;
  for (let i = 0; i < steps; i++) {
    const t = (2 * Math.PI * i) / steps;
    sum += Math.cos(order * t - x * Math.sin(t));
  }
  return sum / steps;
}

/** Power spectrum by a Hann-windowed transform (radix 2, recursive, from the definition); bin width is rate / size. */
export function powerSpectrum(samples: Float64Array, size: number): Float64Array {
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  const length = Math.min(size, samples.length);
  for (let i = 0; i < length; i++) re[i] = samples[i] * (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length));
  const [outRe, outIm] = fourier(re, im);
  return Float64Array.from({ length: size / 2 }, (_, k) => outRe[k] * outRe[k] + outIm[k] * outIm[k]);
}

function fourier(re: Float64Array, im: Float64Array): [Float64Array, Float64Array] {
  const n = re.length;
  if (n === 1) return [re, im];
  const half = n / 2;
  const pick = (x: Float64Array, odd: number) => Float64Array.from({ length: half }, (_, i) => x[2 * i + odd]);
  const [er, ei] = fourier(pick(re, 0), pick(im, 0));
  const [or, oi] = fourier(pick(re, 1), pick(im, 1));
  const outRe = new Float64Array(n);
  const outIm = new Float64Array(n);
  for (let k = 0; k < half; k++) {
    const c = Math.cos((2 * Math.PI * k) / n);
    const s = Math.sin((2 * Math.PI * k) / n);
    const tr = or[k] * c + oi[k] * s;
    const ti = oi[k] * c - or[k] * s;
    outRe[k] = er[k] + tr;
    outIm[k] = ei[k] + ti;
    outRe[k + half] = er[k] - tr;
    outIm[k + half] = ei[k] - ti;
  }
  return [outRe, outIm];
}

/** Share of the power from `lowHz` to `highHz`. */
export function powerShare(spectrum: Float64Array, sampleRateHz: number, lowHz: number, highHz: number): number {
  const binHz = sampleRateHz / (2 * spectrum.length);
  let inside = 0;
  let all = 0;
  for (let k = 1; k < spectrum.length; k++) {
    all += spectrum[k];
    if (k * binHz >= lowHz && k * binHz < highHz) inside += spectrum[k];
  }
  return inside / all;
}
