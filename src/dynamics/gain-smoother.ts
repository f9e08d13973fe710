/**
 * Gain smoother of a look-ahead limiter: a smooth gain that is never above what the delayed signal may have.
 *
 *     g -> m = min g[n-L .. n] -> r = min(m, release) -> FIR of L + 1 taps, w[j] >= 0, sum w = 1 -> s
 *
 * Every r[n-j], j = 0 .. L, is at most g[n-L], because the window of its minimum holds n - L; so their weighted mean is:
 *
 *     s[n] = sum w[j] r[n-j] <= g[n-L].
 *
 * The weights are those of two moving sums, of L/2 + 1 taps each: a trapezium or triangle, whose gain has no corners, which
 * one sum would have. The release is exponential,
 *
 *     r[n] = min(m[n], 1 - a (1 - r[n-1])).
 *
 * r is rounded down to a multiple of 2^-28, so that the sums are exact (BoxSum): s is exactly 1 when nothing was limited
 * for long enough, and rounding never lifts it.
 *
 * Source: P. Hamalainen, "Smoothing of the Control Signal without Clipped Output in Digital Peak Limiters", Proc. DAFx-02,
 * 2002, for smoothing by a finite kernel after a minimum over its length. The rest is derived here.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import { SlidingMinimum } from '../core/sliding-minimum.ts';
import { BoxSum } from './box-sum.ts';

/** Gain 1 as a whole number. Its product with the taps of both sums stays below 2^53 up to L = 11 000. */
const UNITY = 268435456; // 2^28
/** A reduction that has decayed below half a step of the gain is none. */
const LEAST_REDUCTION = 0.5 / UNITY;

/** Smoother of one row of gains, at rest at gain 1. */
export class GainSmoother implements Part {
  /** Coefficient a of the release; may change between pieces. */
  release = 0;
  readonly state: readonly Float64Array[];
  readonly #minimum: SlidingMinimum;
  readonly #reduction = new Float64Array(1); // 1 - r
  readonly #first: BoxSum;
  readonly #second: BoxSum;
  readonly #full: number; // what both sums make of gain 1

  /** @param lookaheadSamples - L, up to 11 000 */
  constructor(lookaheadSamples: number) {
    const taps = Math.floor(lookaheadSamples / 2) + 1,
      otherTaps = lookaheadSamples + 2 - taps;
    this.#minimum = new SlidingMinimum(lookaheadSamples, 1);
    this.#first = new BoxSum(taps, UNITY);
    this.#second = new BoxSum(otherTaps, UNITY * taps);
    this.#full = UNITY * taps * otherTaps;
    this.state = [...this.#minimum.state, this.#reduction, ...this.#first.state, ...this.#second.state];
  }

  reset(): void {
    this.#minimum.reset();
    this.#reduction[0] = 0;
    this.#first.reset();
    this.#second.reset();
  }

  /** Goes on from where another smoother of the same look-ahead is. */
  become({ state }: GainSmoother): void {
    for (let s = 0; s < state.length; s++) this.state[s].set(state[s]);
  }

  /**
   * Replaces the gains g of samples that come in by the gains s of those that come out, L samples later.
   */
  process(gain: Float64Array, count: number): void {
    this.#minimum.process(gain, count);
    this.#fall(gain, count);
    this.#first.process(gain, count);
    this.#second.process(gain, count);
    const full = this.#full;
    for (let i = 0; i < count; i++) gain[i] /= full;
  }

  #fall(gain: Float64Array, count: number): void {
    const release = this.release;
    let reduction = this.#reduction[0];
    for (let i = 0; i < count; i++) {
      reduction *= release;
      if (reduction < LEAST_REDUCTION) reduction = 0;
      if (gain[i] < 1 - reduction) reduction = 1 - gain[i];
      else gain[i] = 1 - reduction;
      gain[i] = Math.floor(UNITY * gain[i]);
    }
    this.#reduction[0] = reduction;
  }
}
