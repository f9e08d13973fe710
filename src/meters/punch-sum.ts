/**
 * Long-term transient-to-sustain ratio: how far the power of a programme is gathered in short moments.
 *
 *     F = mean power of 20 ms, K-weighted;     M = mean power of the 400 ms around them;     every 10 ms
 *     ratio = 10 lg( sum F (F / M)  /  sum F )
 *
 * The mean of F/M, weighted by power, so that quiet stretches hardly count and no gate is needed; a change of level does
 * not change it. 0 dB for a steady sound; 10 lg 20 = 13 dB, the most there is, for clicks at least 0.4 s apart. A kit with
 * short, hard drums reads high, the same kit compressed or drowned in its room reads low.
 *
 * The comparison of a fast with a slow loudness follows the idea of E. Skovenborg, "Measures of Microdynamics", 137th AES
 * Convention, 2014 (from memory), whose windows and statistics differ; the weighting by power is ours.
 *
 * @module
 */
import { log10 } from '../core/maths.ts';
import type { EnergySteps } from './energy-steps.ts';

const FAST_STEPS = 2;
/** Steps behind the fast window: it lies in the middle of 40. */
const AFTER_STEPS = 19;

/** Sums up the ratio over a stream. */
export class PunchSum {
  readonly #sums = new Float64Array(2); // of F^2 / M, of F
  readonly #fast = new Float64Array(1);

  reset(): void {
    this.#sums.fill(0);
  }

  /** Adds a moment: `powers[at]` is that of the last 40 steps. */
  add(steps: EnergySteps, powers: Float64Array, at: number): void {
    const slow = powers[at];
    if (!(slow > 0)) return;
    steps.measure(FAST_STEPS, AFTER_STEPS, this.#fast, 0);
    const fast = this.#fast[0];
    this.#sums[0] += (fast * fast) / slow;
    this.#sums[1] += fast;
  }

  /** The ratio in dB; null if there was no sound, or less than 400 ms. */
  get ratioDb(): number | null {
    const [peaked, all] = this.#sums;
    return all > 0 ? 10 * log10(peaked / all) : null;
  }
}
