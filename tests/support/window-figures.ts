/** The windows of the published table of figures (F. J. Harris, Proc. IEEE 66(1), 1978, recomputed by SciPy 1.10.1). */
import { RealFft } from '../../src/core/fft.ts';
import {
  blackman,
  blackmanHarris,
  flatTop,
  hamming,
  hann,
  kaiser,
  rectangular,
  triangular,
  type WindowOptions,
} from '../../src/core/windows.ts';
import vectors from '../vectors/windows.json';

type Window = (length: number, options?: WindowOptions) => Float64Array;

/** Windows by their name in the table of figures (periodic, 4096 points; computed with SciPy 1.10.1). */
export const windowsByName: Record<string, Window> = {
  boxcar: rectangular,
  'triangular (Bartlett)': triangular,
  hann,
  'hamming(0.54/0.46)': hamming,
  'blackman(0.42,0.5,0.08)': blackman,
  blackmanharris4: blackmanHarris,
  'flattop(scipy 5-term)': flatTop,
  'kaiser alpha=2.5 (beta=7.854)': (length, options) => kaiser(length, 2.5 * Math.PI, options),
  'kaiser alpha=3 (beta=9.425)': (length, options) => kaiser(length, 3 * Math.PI, options),
};
/** The figures that were published. */
export const windowTable: Record<string, Record<string, number>> = vectors.windows;

/** Length of the windows of the table. */
export const LENGTH = 4096;
/** Points of the padded spectrum per bin. */
export const PER_BIN = 32; // points of the padded spectrum per bin: the top of a side lobe is met within 0.005 dB
const fft = new RealFft(LENGTH * PER_BIN);

/** Level of the spectrum relative to 0 Hz. */
export function spectrumDb(window: Float64Array): Float64Array {
  const padded = new Float64Array(fft.size);
  padded.set(window);
  const re = new Float64Array(fft.bins);
  const im = new Float64Array(fft.bins);
  fft.forward(padded, re, im);
  return re.map((x, k) => 20 * Math.log10(Math.hypot(x, im[k]) / re[0] + 1e-30));
}

/** Level of the highest side lobe. */
export function highestSideLobeDb(spectrum: Float64Array): number {
  let k = 1;
  while (spectrum[k] > -12 || spectrum[k + 1] < spectrum[k]) k++; // down the main lobe, past a flat top, to its foot
  let highest = -Infinity;
  for (; k < 200 * PER_BIN; k++) highest = Math.max(highest, spectrum[k]);
  return highest;
}
