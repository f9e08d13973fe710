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

/** Combs of one bank. */
export const COMBS_IN_BANK = 4;

/** Four combs in parallel. */
export class CombBank implements Part {
  readonly state: readonly Float64Array[];
  readonly #rings: readonly Float64Array[];
  readonly #places = new Float64Array(COMBS_IN_BANK);
  readonly #echoes = new Float64Array(COMBS_IN_BANK);

  /** @param delaySamples - M of the four combs, whole and at least 1 */
  constructor(delaySamples: readonly number[]) {
    this.#rings = delaySamples.map((length) => new Float64Array(length));
    this.state = [...this.#rings, this.#places, this.#echoes];
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
    const rings = this.#rings;
    const a = rings[0],
      b = rings[1],
      c = rings[2],
      d = rings[3];
    const gainA = k[first],
      poleA = k[first + 1],
      gainB = k[first + 2],
      poleB = k[first + 3],
      gainC = k[first + 4],
      poleC = k[first + 5],
      gainD = k[first + 6],
      poleD = k[first + 7];
    const places = this.#places,
      echoes = this.#echoes;
    // `| 0` tells the engine that these are integers: a quarter less time.
    let atA = places[0] | 0,
      atB = places[1] | 0,
      atC = places[2] | 0,
      atD = places[3] | 0;
    let echoA = echoes[0],
      echoB = echoes[1],
      echoC = echoes[2],
      echoD = echoes[3];

    for (let i = 0; i < count;) {
      const run = Math.min(count - i, a.length - atA, b.length - atB, c.length - atC, d.length - atD);
      for (const end = i + run; i < end; i++) {
        const input = x[i];
        echoA = gainA * a[atA] + poleA * echoA;
        echoB = gainB * b[atB] + poleB * echoB;
        echoC = gainC * c[atC] + poleC * echoC;
        echoD = gainD * d[atD] + poleD * echoD;
        a[atA++] = input + echoA;
        b[atB++] = input + echoB;
        c[atC++] = input + echoC;
        d[atD++] = input + echoD;
        y[i] += echoA - echoB + (echoC - echoD);
      }
      if (atA === a.length) atA = 0;
      if (atB === b.length) atB = 0;
      if (atC === c.length) atC = 0;
      if (atD === d.length) atD = 0;
    }

    places[0] = atA;
    places[1] = atB;
    places[2] = atC;
    places[3] = atD;
    echoes[0] = echoA;
    echoes[1] = echoB;
    echoes[2] = echoC;
    echoes[3] = echoD;
  }
}
