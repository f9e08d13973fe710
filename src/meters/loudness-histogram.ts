/**
 * Loudness histogram: all windows of a programme in bounded memory, for the gates that need them all at the end.
 *
 *     bin b holds the windows whose loudness is within [-70 + b/100, -70 + (b + 1)/100) LUFS: how many, and their power
 *
 * The power of each bin is summed exactly, so a mean is exact but for the windows in the very bin that a gate cuts: they
 * are all in, or all out. A gate is thus off by 0.01 LU at most, and a percentile by half of that. Windows at +30 LUFS and
 * above share the last bin.
 *
 * @module
 */
import { log10, log2InPlace, pow } from '../core/maths.ts';

/** Makes a 997 Hz sine of 0 dBFS in one channel read -3.01. */
const OFFSET_LU = -0.691;
const LOWEST_LUFS = -70;
const BINS_PER_LU = 100;
const BINS = 100 * BINS_PER_LU;

/** Loudness of a weighted power; -Infinity for none. */
export function loudnessOf(power: number): number {
  return OFFSET_LU + 10 * log10(power);
}

/** Loudnesses of windows, from the absolute gate of -70 LUFS up. */
export class LoudnessHistogram {
  readonly #counts = new Float64Array(BINS);
  readonly #powers = new Float64Array(BINS);
  readonly #level = new Float64Array(1);

  reset(): void {
    this.#counts.fill(0);
    this.#powers.fill(0);
  }

  /** Adds a window by its power, `powers[at]`; one at or below -70 LUFS is left out. */
  add(powers: Float64Array, at: number): void {
    const level = this.#level;
    level[0] = powers[at];
    log2InPlace(level, 1); // within 1e-6 dB; a number handed back by a function might be boxed
    const aboveLu = (10 * level[0]) / 3.321928094887362 + OFFSET_LU - LOWEST_LUFS; // log2 10
    if (!(aboveLu > 0)) return;
    const bin = Math.min(BINS - 1, Math.floor(BINS_PER_LU * aboveLu));
    this.#counts[bin]++;
    this.#powers[bin] += powers[at];
  }

  /** Loudness of the mean power of the windows above `gateLufs`; -Infinity if there is none. */
  meanLufs(gateLufs = -Infinity): number {
    let power = 0,
      count = 0;
    for (let bin = this.#binAbove(gateLufs); bin < BINS; bin++) {
      power += this.#powers[bin];
      count += this.#counts[bin];
    }
    return count === 0 ? -Infinity : loudnessOf(power / count);
  }

  /**
   * Loudness below which `percent` of the windows above `gateLufs` lie: of n windows in order, window
   * round((n - 1) percent / 100 + 1). -Infinity if there is none.
   */
  percentileLufs(percent: number, gateLufs: number): number {
    let count = 0;
    const first = this.#binAbove(gateLufs);
    for (let bin = first; bin < BINS; bin++) count += this.#counts[bin];
    let left = Math.round(((count - 1) * percent) / 100 + 1);
    for (let bin = first; bin < BINS; bin++) {
      left -= this.#counts[bin];
      if (left <= 0 && this.#counts[bin] > 0) return loudnessOf(this.#powers[bin] / this.#counts[bin]);
    }
    return -Infinity;
  }

  /** The first bin whose windows count as above the gate: the one whose mean is. */
  #binAbove(gateLufs: number): number {
    const bin = Math.min(BINS - 1, Math.max(0, Math.floor(BINS_PER_LU * (gateLufs - LOWEST_LUFS))));
    return this.#powers[bin] > this.#counts[bin] * pow(10, (gateLufs - OFFSET_LU) / 10) ? bin : bin + 1;
  }
}
