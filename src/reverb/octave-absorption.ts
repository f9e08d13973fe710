/**
 * Filter of a delay line whose octave bands decay in times of their own.
 *
 * A line of tau seconds must lose 60 tau / T(f) dB at every frequency. The filter is a gain and a chain of second-order
 * high shelves of gain g, one at every edge between two octaves,
 *
 *             1 + sqrt(2) a s + a^2 s^2                    1 + g w^4
 *     H(s) = ---------------------------,      |H|^2 = -------------,      a = g^(1/4),
 *            1 + sqrt(2) s / a + s^2 / a^2              1 + w^4 / g
 *
 * with w = tan(pi f / sampleRate) / tan(pi edge / sampleRate) by the bilinear transform. Shelves are proportional: in dB, one
 * of gain u follows u p, p = w^4 / (1 + w^4), closely. So the gains that meet the wanted losses at the seven centres come
 * from one matrix, whose entries are the p, turned round. What that leaves is below 0.03 dB where neighbours differ by up to
 * a quarter, lines by up to 30 ms and decays are 0.3 s or more, and grows with the cube of the loss. Below 125 Hz and above
 * 8 kHz the loss levels off.
 *
 * While neighbouring decays differ by no more than a factor of 2, every frequency decays: the rate 1 / T(f) is the sum of
 * the shelves' shares, and stays above half of the lowest that was asked for.
 *
 * Source: J.-M. Jot, A. Chaigne, AES 90th Convention, 1991, preprint 3030, for the loss; J.-M. Jot, "Proportional
 * Parametric Equalizers - Application to Digital Reverberation and Environmental Audio Processing", AES 139th Convention,
 * 2015, for proportional shelves; S. J. Schlecht, E. A. P. Habets, "Accurate Reverberation Time Control in Feedback Delay
 * Networks", DAFx-17, for gains from a matrix of interactions (all from memory).
 *
 * @module
 */
import { pow, tanPi } from '../core/maths.ts';

/** Octave bands of a decay: 125, 250, 500, 1000, 2000, 4000 and 8000 Hz. */
export const DECAY_BANDS = 7;

/** How many numbers describe the filter of a line: its gain, and four coefficients for every edge. */
export const ABSORPTION_CONSTANTS = 25;

const LOWEST_CENTRE_HZ = 125;

/** Bands whose centre lies above this share of the sample rate have no filter. */
const HIGHEST_SHARE = 0.45;

/** Designs the filters of all lines of a network at one sample rate. */
export class OctaveAbsorption {
  readonly #edges: readonly number[]; // tan(pi edge / sampleRate)
  readonly #inverse: readonly Float64Array[]; // from losses in the bands to the gain at 0 Hz and of each shelf

  constructor(sampleRateHz: number) {
    let bands = DECAY_BANDS;
    while (centreHz(bands - 1) > HIGHEST_SHARE * sampleRateHz) bands--;
    const tangents = Array.from({ length: bands }, (_, b) => tanPi(centreHz(b), sampleRateHz));
    this.#edges = tangents.slice(1).map((_, e) => tanPi(centreHz(e) * Math.SQRT2, sampleRateHz));
    this.#inverse = inverted(tangents.map((tangent) => this.#sharesAt(tangent)));
  }

  /**
   * The constants of a line: a gain, then b1 b2 a1 a2 of each section, whose b0 is 1.
   *
   * @param delaySeconds - tau
   * @param decaysSeconds - T of the seven bands, neighbours at most a factor of 2 apart; Infinity does not decay
   */
  design(delaySeconds: number, decaysSeconds: readonly number[]): number[] {
    const [lowDb, ...shelvesDb] = this.#gains(decaysSeconds).map((rate) => -60 * delaySeconds * rate);
    let gain = pow(10, lowDb / 20);
    const sections = shelvesDb.flatMap((shelfDb, e) => {
      const root = pow(10, shelfDb / 80);
      const [b0, b1, b2] = bilinear(root, this.#edges[e]),
        [a0, a1, a2] = bilinear(1 / root, this.#edges[e]);
      gain *= b0 / a0;
      return [b1 / b0, b2 / b0, a1 / a0, a2 / a0];
    });
    const constants = new Array<number>(ABSORPTION_CONSTANTS).fill(0);
    [gain, ...sections].forEach((constant, i) => (constants[i] = constant));
    return constants;
  }

  /** Longest decay at any frequency, between the bands and beyond them, too. */
  longestDecaySeconds(decaysSeconds: readonly number[]): number {
    const gains = this.#gains(decaysSeconds);
    let slowest = gains[0];
    for (let step = -12; step < 6 * DECAY_BANDS; step++) {
      const shares = this.#sharesAt(this.#edges[0] * pow(2, step / 6));
      slowest = Math.min(
        slowest,
        gains.reduce((sum, gain, g) => sum + gain * shares[g], 0),
      );
    }
    return 1 / slowest;
  }

  /** 1 / T at 0 Hz, and what each shelf adds to it. */
  #gains(decaysSeconds: readonly number[]): number[] {
    return this.#inverse.map((row) => row.reduce((sum, share, band) => sum + share / decaysSeconds[band], 0));
  }

  /** 1, and p of every shelf, at the frequency with this tangent. */
  #sharesAt(tangent: number): Float64Array {
    return Float64Array.of(1, ...this.#edges.map((edge) => 1 / (1 + pow(edge / tangent, 4))));
  }
}

function centreHz(band: number): number {
  return LOWEST_CENTRE_HZ * (1 << band);
}

/** 1 + sqrt(2) a s + a^2 s^2 in powers of z^-1, for s = (1 - z^-1) / (k (1 + z^-1)), times k^2 (1 + z^-1)^2. */
function bilinear(a: number, k: number): readonly [number, number, number] {
  const ends = k * k + a * a,
    middle = Math.SQRT2 * a * k;
  return [ends + middle, 2 * (k * k - a * a), ends - middle];
}

/** Inverse of a square matrix by Gauss and Jordan; the diagonal of ours never comes near 0. */
function inverted(matrix: readonly Float64Array[]): Float64Array[] {
  const size = matrix.length;
  const rows = matrix.map((row, r) => Float64Array.of(...row, ...row.map((_, c) => (c === r ? 1 : 0))));
  rows.forEach((row, r) => {
    const pivot = row[r];
    for (let c = 0; c < 2 * size; c++) row[c] /= pivot;
    rows.forEach((other, o) => {
      const factor = other[r];
      if (o !== r) for (let c = 0; c < 2 * size; c++) other[c] -= factor * row[c];
    });
  });
  return rows.map((row) => row.slice(size));
}
