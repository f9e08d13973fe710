/**
 * Comb bank: four combs side by side in one loop, their echoes added with the signs + - + -.
 *
 *          +-> comb A -> + \
 *     x ---+-> comb B -> -  \
 *          +-> comb C -> +   +---> y         echoes only: each comb's f[n] = gain w[n-M] + pole f[n-1], w = x + f
 *          +-> comb D -> -  /
 *
 * Four recurrences that do not wait for each other keep a processor core busier than one. The signs keep the combs,
 * which all peak at 0 Hz, from adding up there.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import { ringsEndToEnd } from './rings.ts';

/** Combs of one bank. */
export const COMBS_IN_BANK = 4;

/** Four combs in parallel. */
export class CombBank implements Part {
  readonly state: readonly Float64Array[];
  readonly #rings: Float64Array; // end to end: an engine has fewer registers to spare for four arrays than for one
  readonly #starts: readonly number[]; // of the rings, and the end of the last
  readonly #places = new Float64Array(COMBS_IN_BANK); // in each ring
  readonly #echoes = new Float64Array(COMBS_IN_BANK);

  /** @param delaySamples - M of the four combs, whole and at least 1 */
  constructor(delaySamples: readonly number[]) {
    const { rings, starts, views } = ringsEndToEnd(delaySamples);
    this.#rings = rings;
    this.#starts = starts;
    this.state = [...views, this.#places, this.#echoes];
  }

  reset(): void {
    for (const array of this.state) array.fill(0);
  }

  /**
   * Adds the echoes of `x[0 .. count)` to `y[0 .. count)`.
   *
   * @param k - holds gain and pole of each comb in turn, from index `first` on
   */
  addTo(y: Float64Array, x: Float64Array, count: number, k: Float64Array, first: number): void {
    const rings = this.#rings,
      starts = this.#starts,
      places = this.#places,
      echoes = this.#echoes;
    const gainA = k[first],
      poleA = k[first + 1],
      gainB = k[first + 2],
      poleB = k[first + 3],
      gainC = k[first + 4],
      poleC = k[first + 5],
      gainD = k[first + 6],
      poleD = k[first + 7];
    // `| 0` tells the engine that these are integers: a quarter less time.
    const startB = starts[1] | 0,
      startC = starts[2] | 0,
      startD = starts[3] | 0,
      end = starts[4] | 0;
    let a = places[0] | 0,
      b = (startB + places[1]) | 0,
      c = (startC + places[2]) | 0,
      d = (startD + places[3]) | 0;
    let echoA = echoes[0],
      echoB = echoes[1],
      echoC = echoes[2],
      echoD = echoes[3];

    for (let i = 0; i < count;) {
      const run = Math.min(count - i, startB - a, startC - b, startD - c, end - d);
      for (const stop = i + run; i < stop; i++) {
        const input = x[i];
        echoA = gainA * rings[a] + poleA * echoA;
        echoB = gainB * rings[b] + poleB * echoB;
        echoC = gainC * rings[c] + poleC * echoC;
        echoD = gainD * rings[d] + poleD * echoD;
        rings[a++] = input + echoA;
        rings[b++] = input + echoB;
        rings[c++] = input + echoC;
        rings[d++] = input + echoD;
        y[i] += echoA - echoB + (echoC - echoD);
      }
      if (a === startB) a = 0;
      if (b === startC) b = startB;
      if (c === startD) c = startC;
      if (d === end) d = startD;
    }

    places[0] = a;
    places[1] = b - startB;
    places[2] = c - startC;
    places[3] = d - startD;
    echoes[0] = echoA;
    echoes[1] = echoB;
    echoes[2] = echoC;
    echoes[3] = echoD;
  }
}
