/**
 * Windows: weights that fade a stretch of samples in and out.
 *
 *     cosine sums     w[n] = a0 - a1 cos(2 pi n / D) + a2 cos(4 pi n / D) - ...
 *     Kaiser          w[n] = I0(beta sqrt(1 - r^2)) / I0(beta),   r = 2n / D - 1
 *
 * D = length - 1 makes a symmetric window, for designing filters; D = length a periodic one, for spectra, whose
 * shifted copies add up to a constant. Every window is the same to the last bit read from either end.
 *
 * Source: F. J. Harris, "On the Use of Windows for Harmonic Analysis with the Discrete Fourier Transform", Proc. IEEE
 * 66(1), 1978; flat top: G. D'Antona, A. Ferrero, "Digital Signal Processing for Measurement Systems", Springer 2006.
 *
 * @module
 */
import { requireInteger, requireRange } from './check.ts';
import { cosOfTurns } from './maths.ts';

/** What every window takes. */
export interface WindowOptions {
  /** For spectra: the point that would repeat the first is left out. Default false: symmetric, for filters. */
  readonly periodic?: boolean;
}

/** All ones. */
export function rectangular(length: number): Float64Array {
  return symmetric('rectangular', length, {}, () => 1);
}

/** Straight from 0 up to 1 and back (Bartlett). */
export function triangular(length: number, options: WindowOptions = {}): Float64Array {
  return symmetric('triangular', length, options, (position) => 2 * position);
}

/** Raised cosine: side lobes at -31 dB that fall by 18 dB per octave. */
export function hann(length: number, options: WindowOptions = {}): Float64Array {
  return cosineSum('hann', length, options, [0.5, 0.5]);
}

/** Raised cosine on a pedestal: side lobes below -42 dB. */
export function hamming(length: number, options: WindowOptions = {}): Float64Array {
  return cosineSum('hamming', length, options, [0.54, 0.46]);
}

/** Three terms: side lobes below -58 dB. */
export function blackman(length: number, options: WindowOptions = {}): Float64Array {
  return cosineSum('blackman', length, options, [0.42, 0.5, 0.08]);
}

/** Four terms, Harris's minimum: side lobes below -92 dB. */
export function blackmanHarris(length: number, options: WindowOptions = {}): Float64Array {
  return cosineSum('blackmanHarris', length, options, [0.35875, 0.48829, 0.14128, 0.01168]);
}

/** Five terms: reads the level of a sine between two bins within 0.01 dB. Dips below 0 near its ends. */
export function flatTop(length: number, options: WindowOptions = {}): Float64Array {
  return cosineSum('flatTop', length, options, [0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368]);
}

/**
 * Kaiser window: the wider `beta`, the wider the main lobe and the lower the side lobes.
 *
 * @param beta - 0 (rectangular) to 700; Harris's alpha is beta / pi
 * @throws RangeError if `beta` is out of range
 */
export function kaiser(length: number, beta: number, options: WindowOptions = {}): Float64Array {
  const peak = besselI0(requireRange('kaiser: beta', beta, 0, 700));
  return symmetric('kaiser', length, options, (position) => {
    const inside = 4 * position * (1 - position); // 1 - r^2 without cancellation
    return besselI0(beta * Math.sqrt(inside)) / peak;
  });
}

/** Modified Bessel function of the first kind and order 0, by its power series; relative error at most 2e-15. */
export function besselI0(x: number): number {
  const quarterSquare = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let k = 1; term > sum * 1e-17; k++) {
    term *= quarterSquare / (k * k);
    sum += term;
  }
  return sum;
}

function cosineSum(
  name: string,
  length: number,
  options: WindowOptions,
  coefficients: readonly number[],
): Float64Array {
  return symmetric(name, length, options, (position) => {
    let sum = 0;
    for (let k = coefficients.length - 1; k >= 0; k--) {
      sum += (k & 1 ? -1 : 1) * coefficients[k] * cosOfTurns(k * position);
    }
    return sum;
  });
}

/** Fills both halves from `weight(position)`, position = n / D from 0 at the first sample to 1/2 in the middle. */
function symmetric(
  name: string,
  length: number,
  options: WindowOptions,
  weight: (position: number) => number,
): Float64Array {
  requireInteger(`${name}: length`, length, 1, 16777216);
  const window = new Float64Array(length);
  const last = options.periodic === true ? length : length - 1;
  window[0] = 1; // where it is alone
  for (let n = 0; 2 * n <= last && last > 0; n++) {
    window[n] = weight(n / last);
    if (last - n < length) window[last - n] = window[n];
  }
  return window;
}
