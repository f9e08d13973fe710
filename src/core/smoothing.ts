/**
 * Coefficients and time constants of the one-pole smoother
 *
 *     y[n] = x[n] + a (y[n-1] - x[n]),    a = exp(-1 / (tau fs)),
 *
 * whose answer to a step is 1 - e^(-t / tau): 63.2 % of the way after the time constant tau. Published attack and
 * release times follow three definitions; the other two convert to tau here.
 *
 *     time constant        0 to 63.2 %     tau = t
 *     10-90 % rise         10 to 90 %      tau = t / ln 9
 *     0-90 % rise          0 to 90 %       tau = t / ln 10
 *
 * Source: U. Zoelzer (ed.), "DAFX: Digital Audio Effects", 2nd ed., Wiley 2011, section 4.2, which takes 10 to 90 %;
 * D. Giannoulis, M. Massberg, J. D. Reiss, "Digital Dynamic Range Compressor Design - A Tutorial and Analysis",
 * JAES 60(6), 2012, Eq. (7), which takes the time constant.
 *
 * @module
 */
import { exp2 } from './maths.ts';

const LN_9 = 2.1972245773362196;
const LN_10 = 2.302585092994046;

/**
 * Coefficient a = exp(-1 / (tau fs)) of a one-pole smoother; 0, which follows at once, for 0 ms.
 *
 * @param timeMs - time constant tau, 0 or above
 */
export function onePoleCoefficient(timeMs: number, sampleRateHz: number): number {
  return exp2((-1000 * Math.LOG2E) / Math.abs(timeMs * sampleRateHz));
}

/** Time constant in ms of a step response that takes `riseMs` from 10 to 90 % of its way. */
export function timeConstantFromRise(riseMs: number): number {
  return riseMs / LN_9;
}

/** Time constant in ms of a step response that takes `ninetyMs` from its start to 90 % of its way. */
export function timeConstantFromNinety(ninetyMs: number): number {
  return ninetyMs / LN_10;
}
