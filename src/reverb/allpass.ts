/**
 * Schroeder's allpass: turns one echo into many, and leaves the magnitude of every frequency as it was.
 *
 *              -g + z^-M
 *     H(z) = -------------,    |H| = 1          v[n] = x[n] + g v[n-M],    y[n] = v[n-M] - g v[n]
 *             1 - g z^-M
 *
 * An impulse becomes -g, (1 - g^2), (1 - g^2) g, (1 - g^2) g^2, ... at 0, M, 2 M, 3 M, ...: energy 1, and 60 dB less
 * after -3 M / lg g samples.
 *
 * Source: M. R. Schroeder, "Natural Sounding Artificial Reverberation", JAES 10(3), 1962.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import type { Part } from '../core/processor.ts';

/** Allpass filter with a long delay. */
export class Allpass implements Part {
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  readonly #ring: Float64Array; // v
  readonly #at = new Float64Array(1); // place in the ring

  /** @throws RangeError unless `delaySamples`, M, is a whole number from 1 to 4 000 000 */
  constructor(delaySamples: number) {
    this.#ring = new Float64Array(requireInteger('Allpass: delaySamples', delaySamples, 1, 4_000_000));
    this.state = [this.#ring, this.#at];
  }

  reset(): void {
    this.#ring.fill(0);
    this.#at[0] = 0;
  }

  /**
   * Processes `x[0 .. count)` in place.
   *
   * @param gain - g, stable between -1 and 1
   */
  process(x: Float64Array, count: number, gain: number): void {
    const ring = this.#ring;
    let at = this.#at[0] | 0; // an integer for the engine, too
    for (let i = 0; i < count;) {
      const run = Math.min(count - i, ring.length - at);
      for (const end = i + run; i < end; i++) {
        const delayed = ring[at];
        const v = x[i] + gain * delayed;
        x[i] = delayed - gain * v;
        ring[at++] = v;
      }
      if (at === ring.length) at = 0;
    }
    this.#at[0] = at;
  }
}
