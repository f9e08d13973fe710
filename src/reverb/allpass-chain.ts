/**
 * Allpass chain: five of Schroeder's allpasses in series, in one loop.
 *
 *     x --> allpass A --> B --> C --> D --> E --> y          each as `allpass.ts` says
 *
 * A sample passes all five before the next one comes, so that it is fetched and put down once, not five times.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import { ringsEndToEnd } from './rings.ts';

/** Allpasses of a chain. */
export const ALLPASSES_IN_CHAIN = 5;

/** Five allpasses in series. */
export class AllpassChain implements Part {
  readonly state: readonly Float64Array[];
  readonly #rings: Float64Array;
  readonly #starts: readonly number[]; // of the rings, and the end of the last
  readonly #places = new Float64Array(ALLPASSES_IN_CHAIN); // in each ring

  /** @param delaySamples - M of the five allpasses, whole and at least 1 */
  constructor(delaySamples: readonly number[]) {
    const { rings, starts, views } = ringsEndToEnd(delaySamples);
    this.#rings = rings;
    this.#starts = starts;
    this.state = [...views, this.#places];
  }

  reset(): void {
    for (const array of this.state) array.fill(0);
  }

  /**
   * Processes `x[0 .. count)` in place.
   *
   * @param k - holds the gain of each allpass in turn, from index `first` on
   */
  process(x: Float64Array, count: number, k: Float64Array, first: number): void {
    const rings = this.#rings,
      starts = this.#starts,
      places = this.#places;
    const gainA = k[first],
      gainB = k[first + 1],
      gainC = k[first + 2],
      gainD = k[first + 3],
      gainE = k[first + 4];
    // `| 0` tells the engine that these are integers.
    const startB = starts[1] | 0,
      startC = starts[2] | 0,
      startD = starts[3] | 0,
      startE = starts[4] | 0,
      end = starts[5] | 0;
    let a = places[0] | 0,
      b = (startB + places[1]) | 0,
      c = (startC + places[2]) | 0,
      d = (startD + places[3]) | 0,
      e = (startE + places[4]) | 0;

    for (let i = 0; i < count;) {
      const run = Math.min(count - i, startB - a, startC - b, startD - c, startE - d, end - e);
      for (const stop = i + run; i < stop; i++) {
        const fromA = rings[a],
          fromB = rings[b],
          fromC = rings[c],
          fromD = rings[d],
          fromE = rings[e];
        const toA = x[i] + gainA * fromA;
        const toB = fromA - gainA * toA + gainB * fromB;
        const toC = fromB - gainB * toB + gainC * fromC;
        const toD = fromC - gainC * toC + gainD * fromD;
        const toE = fromD - gainD * toD + gainE * fromE;
        x[i] = fromE - gainE * toE;
        rings[a++] = toA;
        rings[b++] = toB;
        rings[c++] = toC;
        rings[d++] = toD;
        rings[e++] = toE;
      }
      if (a === startB) a = 0;
      if (b === startC) b = startB;
      if (c === startD) c = startC;
      if (d === startE) d = startD;
      if (e === end) e = startE;
    }

    places[0] = a;
    places[1] = b - startB;
    places[2] = c - startC;
    places[3] = d - startD;
    places[4] = e - startE;
  }
}
