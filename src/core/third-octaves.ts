/**
 * Third-octave bands.
 *
 *     middle = 1000 Hz * 10^(k/10),    edges = middle * 10^(+-1/20),    k whole
 *
 * These are the exact middles; the nominal ones (160 Hz for 158.489 Hz) are their names.
 *
 * Source: IEC 61260-1:2014, octave ratio 10^(3/10) (from memory).
 *
 * @module
 */
import { exp2, log10 } from './maths.ts';

/** A band of frequencies. */
export interface FrequencyBand {
  /** Lower edge in hertz. */
  readonly fromHz: number;
  /** Upper edge in hertz. */
  readonly toHz: number;
}

/** A third-octave band by its middle. */
export interface ThirdOctaveBand extends FrequencyBand {
  /** Centre in hertz, exact: 1000 x 10^(n / 10). */
  readonly frequencyHz: number;
}

/** log2(10): powers of ten as powers of two. */
const OCTAVES_PER_DECADE = 3.321928094887362;

/** The bands whose middles lie from `fromHz` to `toHz`, both above 0. */
export function thirdOctaveBands(fromHz: number, toHz: number): ThirdOctaveBand[] {
  const at = (k: number) => 1000 * exp2((k / 10) * OCTAVES_PER_DECADE);
  const first = Math.ceil(10 * log10(fromHz / 1000) - 1e-9),
    last = Math.floor(10 * log10(toHz / 1000) + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => {
    const k = first + i;
    return { frequencyHz: at(k), fromHz: at(k - 0.5), toHz: at(k + 0.5) };
  });
}
