/**
 * Peak picking: which values of a detection function are onsets.
 *
 *     v[n] = max(v[n - w1] .. v[n + w2])     and     v[n] >= mean(v[n - w3] .. v[n + w4]) + delta
 *
 * The mean makes the threshold follow the restlessness of the signal. Before its first and after its last value the
 * function counts as 0. Of equal values within the window the first is taken.
 *
 * Source: S. Boeck, F. Krebs, M. Schedl, "Evaluating the Online Capabilities of Onset Detection Methods", ISMIR 2012 (rule
 * from memory).
 *
 * @module
 */

/** The windows in values, and the height that a peak must have over the mean. */
export interface PeakRule {
  readonly apart: number; // w1 = w2: no two peaks are closer
  readonly meanBefore: number; // w3
  readonly meanAfter: number; // w4
  readonly delta: number;
  readonly lag: number; // how many values later a peak is told; at least w2 and w4
}

/** Picks peaks from a stream of values. */
export class PeakPicker {
  readonly #rule: PeakRule;
  readonly #values: Float64Array; // the last ones, the newest at the end

  constructor(rule: PeakRule) {
    this.#rule = rule;
    this.#values = new Float64Array(Math.max(rule.apart, rule.meanBefore) + 1 + rule.lag);
  }

  reset(): void {
    this.#values.fill(0);
  }

  /** Takes the next value; returns the value `lag` before it if that is a peak, else 0. */
  next(value: number): number {
    const v = this.#values,
      { apart, meanBefore, meanAfter, delta, lag } = this.#rule;
    v.copyWithin(0, 1);
    v[v.length - 1] = value;
    const n = v.length - 1 - lag;
    const candidate = v[n];
    if (candidate < delta) return 0;
    for (let m = n - apart; m <= n + apart; m++) {
      if (v[m] > candidate || (v[m] === candidate && m < n)) return 0;
    }
    let sum = 0;
    for (let m = n - meanBefore; m <= n + meanAfter; m++) sum += v[m];
    return candidate >= sum / (meanBefore + 1 + meanAfter) + delta ? candidate : 0;
  }
}
