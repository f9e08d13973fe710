/**
 * Detectors: how a level follows a signal. Each works in place on a row of x and keeps y, and y1 where there is one.
 *
 *     mean square        y[n] = a y[n-1] + (1 - a) x^2[n]                                           (9), (10)
 *     analogue           y[n] = R y[n-1] + (1 - A) max(x[n] - y[n-1], 0)                            (12)
 *     decoupled          y1[n] = max(x[n], R y1[n-1]);                  y[n] = A y[n-1] + (1 - A) y1[n]   (14)
 *     branching          y[n] = A y[n-1] + (1 - A) x[n]  where x[n] > y[n-1],  else R y[n-1]        (15)
 *     smooth branching   y[n] = A y[n-1] + (1 - A) x[n]  where x[n] > y[n-1],  else with R for A    (16)
 *     smooth decoupled   y1[n] = max(x[n], R y1[n-1] + (1 - R) x[n]);   y[n] = A y[n-1] + (1 - A) y1[n]   (17)
 *
 * A and R are the coefficients exp(-1 / (time * sampleRate)) of attack and release. (12) settles too low, at
 * (1 - A) / (2 - R - A) of a step; (14) and (17) release in about the sum of both times; (16) keeps both as stated.
 *
 * Source, with these equation numbers: D. Giannoulis, M. Massberg, J. D. Reiss, "Digital Dynamic Range Compressor Design
 * - A Tutorial and Analysis", JAES 60(6), 2012.
 *
 * @module
 */

/**
 * Turns x[0 .. count) into y in place. `k` holds A at the index `at` and R behind it: a number handed to a function may be
 * boxed, an array is not. `state` holds y and y1; two numbers, 0 at first.
 */
export type Detector = (x: Float64Array, count: number, k: Float64Array, at: number, state: Float64Array) => void;

/** |x| of every sample. */
export function magnitudes(x: Float64Array, level: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) level[i] = Math.abs(x[i]);
}

/** Eqs (9) and (10): root of the mean square, smoothed with `k[at]`. `state[channel]` is the mean square. */
export function rootMeanSquare(
  x: Float64Array,
  count: number,
  k: Float64Array,
  at: number,
  state: Float64Array,
  channel = 0,
): void {
  const average = k[at];
  let power = state[channel];
  for (let i = 0; i < count; i++) {
    const now = x[i] * x[i];
    power = now + average * (power - now);
    x[i] = Math.sqrt(power);
  }
  state[channel] = power;
}

/** Eq. (12): a diode that charges a capacitor which always leaks. */
export const analogue: Detector = (x, count, k, at, state) => {
  const attack = k[at],
    release = k[at + 1];
  let y = state[0];
  for (let i = 0; i < count; i++) {
    const above = x[i] - y;
    y = release * y + (above > 0 ? (1 - attack) * above : 0);
    x[i] = y;
  }
  state[0] = y;
};

/** Eq. (14): a peak hold that leaks to zero, then a smoother. */
export const decoupled: Detector = (x, count, k, at, state) => {
  const attack = k[at],
    release = k[at + 1];
  let y = state[0],
    y1 = state[1];
  for (let i = 0; i < count; i++) {
    const leaked = release * y1;
    y1 = x[i] > leaked ? x[i] : leaked;
    y = y1 + attack * (y - y1);
    x[i] = y;
  }
  state[0] = y;
  state[1] = y1;
};

/** Eq. (15): rises towards x, falls towards zero. */
export const branching: Detector = (x, count, k, at, state) => {
  const attack = k[at],
    release = k[at + 1];
  let y = state[0];
  for (let i = 0; i < count; i++) {
    y = x[i] > y ? x[i] + attack * (y - x[i]) : release * y;
    x[i] = y;
  }
  state[0] = y;
};

/** Eq. (16): rises and falls towards x. Without a branch, which on noise would be guessed wrong half of the time. */
export const smoothBranching: Detector = (x, count, k, at, state) => {
  const attack = k[at],
    release = k[at + 1];
  const both = 1 - (attack + release) / 2; // d > 0: (both + more) d = (1 - attack) d
  const more = (release - attack) / 2; //     d < 0: (both - more) d = (1 - release) d
  let y = state[0];
  for (let i = 0; i < count; i++) {
    const d = x[i] - y;
    y += both * d + more * Math.abs(d);
    x[i] = y;
  }
  state[0] = y;
};

/**
 * The lower of x and of its average y1 = x + L (y1 - x): what has lasted does not rise at once. `k[at]` is L; where it is 0,
 * every x stays as it is, bit for bit.
 */
export const lasting: Detector = (x, count, k, at, state) => {
  const average = k[at];
  let y1 = average === 0 ? x[count - 1] : state[1];
  for (let i = 0; i < count && average > 0; i++) {
    y1 = x[i] + average * (y1 - x[i]);
    if (y1 < x[i]) x[i] = y1;
  }
  state[1] = y1;
};

/** Eq. (17): a peak hold that falls towards x, then a smoother. */
export const smoothDecoupled: Detector = (x, count, k, at, state) => {
  const attack = k[at],
    release = k[at + 1];
  let y = state[0],
    y1 = state[1];
  for (let i = 0; i < count; i++) {
    const fallen = x[i] + release * (y1 - x[i]);
    y1 = x[i] > fallen ? x[i] : fallen;
    y = y1 + attack * (y - y1);
    x[i] = y;
  }
  state[0] = y;
  state[1] = y1;
};

/** Sets what has decayed below -600 dB to 0, before it becomes a denormal number, which is slow to compute with. */
export function flush(state: Float64Array): void {
  for (let i = 0; i < state.length; i++) if (Math.abs(state[i]) < 1e-30) state[i] = 0;
}
