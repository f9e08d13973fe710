/**
 * Modes of the ideal circular membrane.
 *
 *      (0,1)     (1,1)     (2,1)     (0,2)          m nodal diameters, n nodal circles, the rim included
 *       ___       ___       ___       ___
 *      /   \     / | \     / | \     / _ \          f_mn / f_01 = j_mn / j_01
 *     |  +  |   | +|- |   |--+--|   | ( ) |         1, 1.593, 2.136, 2.295, 2.653, 2.917, ...
 *      \___/     \_|_/     \_|_/     \_-_/
 *
 * with j_mn the n-th zero of the Bessel function J_m. A blow at radius r (rim = 1) excites mode (m,n) in proportion
 * to J_m(j_mn r) / |J_m+1(j_mn)|, the mode's shape there over its norm. How well a mode sounds in the far field
 * falls with its nodal diameters, because neighbouring fields cancel: 1 / (1 + m) stands in for that.
 *
 * Source: P. M. Morse, K. U. Ingard, "Theoretical Acoustics", 1968, section 5.2; zeros: M. Abramowitz, I. A. Stegun,
 * "Handbook of Mathematical Functions", 1964, Table 9.5. Air loading and the second head of a real drum move the
 * ratios; the ideal ones are kept because they can be checked.
 *
 * @module
 */

/** One mode of a membrane. */
export interface MembraneMode {
  /** Frequency over that of the lowest mode. */
  readonly ratio: number;
  /** Share of a blow that it takes, with sign, before the stick's contact time counts. */
  readonly weight: number;
}

/** Zeros of J_0 ... J_7: row m, column n - 1. */
const BESSEL_ZEROS: readonly (readonly number[])[] = [
  [2.4048255577, 5.52007811029, 8.65372791291, 11.791534439],
  [3.83170597021, 7.01558666982, 10.1734681351, 13.3236919363],
  [5.13562230184, 8.4172441404, 11.6198411721, 14.7959517824],
  [6.38016189592, 9.76102312998, 13.0152007217, 16.2234661603],
  [7.5883424345, 11.0647094885, 14.3725366716, 17.6159660498],
  [8.77148381596, 12.3386041975, 15.7001740797, 18.9801338752],
  [9.93610952421, 13.5892901705, 17.0038196678, 20.3207892136],
  [11.0863700192, 14.821268727, 18.2875828325, 21.6415410198],
];

/** The 32 modes with up to 7 diameters and 4 circles, excited at `strikeRadius` from 0 (centre) to 1 (rim). */
export function membraneModes(strikeRadius: number): MembraneMode[] {
  const modes: MembraneMode[] = [];
  for (let m = 0; m < BESSEL_ZEROS.length; m++) {
    for (const zero of BESSEL_ZEROS[m]) {
      const norm = Math.abs(besselJ(m + 1, zero));
      modes.push({ ratio: zero / BESSEL_ZEROS[0][0], weight: besselJ(m, zero * strikeRadius) / (norm * (1 + m)) });
    }
  }
  return modes;
}

/** Bessel function J_m(x) by its power series; good to 1e-8 for |x| up to 22, all that is asked of it here. */
export function besselJ(order: number, x: number): number {
  let term = 1;
  for (let k = 1; k <= order; k++) term *= x / (2 * k);
  let sum = term;
  for (let k = 1; k < 60; k++) {
    term *= (-x * x) / (4 * k * (k + order));
    sum += term;
  }
  return sum;
}
