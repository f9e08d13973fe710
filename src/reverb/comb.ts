/**
 * Comb: a delay of M samples whose output is filtered and fed back.
 *
 *     x ----> + -----------------+----> y          y[n] = x[n] + f[n]
 *             ^                  |                 f[n] = gain y[n-M] + pole f[n-1]
 *             |                  v
 *             +-- one pole <-- z^-M
 *
 * An impulse comes back every M samples. Without a pole each echo is `gain` times the last and the magnitude response
 * runs between 1 / (1 + gain) and 1 / (1 - gain), with peaks every sampleRate / M hertz.
 *
 * Source: M. R. Schroeder, "Natural Sounding Artificial Reverberation", JAES 10(3), 1962; the filter in the loop:
 * J. A. Moorer, "About This Reverberation Business", Computer Music Journal 3(2), 1979.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import type { Part } from '../core/processor.ts';

/** Feedback comb filter with absorption. */
export class Comb implements Part {
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  readonly #ring: Float64Array;
  readonly #now = new Float64Array(2); // place in the ring; f

  /** @throws RangeError unless `delaySamples`, M, is a whole number from 1 to 4 000 000 */
  constructor(delaySamples: number) {
    this.#ring = new Float64Array(requireInteger('Comb: delaySamples', delaySamples, 1, 4_000_000));
    this.state = [this.#ring, this.#now];
  }

  reset(): void {
    this.#ring.fill(0);
    this.#now.fill(0);
  }

  /**
   * Processes `x[0 .. count)` in place.
   *
   * @param gain - stable while gain / (1 - |pole|) is below 1
   * @param pole - 0 for an echo that stays as bright as it was
   */
  process(x: Float64Array, count: number, gain: number, pole = 0): void {
    const ring = this.#ring,
      now = this.#now;
    let at = now[0] | 0, // an integer for the engine, too
      f = now[1];
    for (let i = 0; i < count;) {
      const run = Math.min(count - i, ring.length - at);
      for (const end = i + run; i < end; i++) {
        f = gain * ring[at] + pole * f;
        const y = x[i] + f;
        ring[at++] = y;
        x[i] = y;
      }
      if (at === ring.length) at = 0;
    }
    now[0] = at;
    now[1] = f;
  }
}
