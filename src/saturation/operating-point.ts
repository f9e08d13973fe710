/**
 * A curve at an operating point, its odd and its even part weighed against each other.
 *
 *     s(u) = (odd(u) + e even(u)) / f'(b)          odd(u)  = (f(b + u) - f(b - u)) / 2
 *                                                  even(u) = (f(b + u) + f(b - u)) / 2 - f(b)
 *          = p f(b + u) - q f(b - u) - r           p = (1 + e) / 2 f'(b),   q = (1 - e) / 2 f'(b),   r = e f(b) / f'(b)
 *
 * b is the bias, e the share of the even part. An odd part of a sine holds its odd harmonics, an even part the even ones
 * and a DC offset. s(0) = 0 and s'(0) = 1 whatever b and e are.
 *
 * The gain that holds the level is that for hits of a stated peak level, in which the time spent near a level doubles every
 * 4.5 dB down, over 36 dB. That is a fit to the microphones of a simulated kit, whose loudness it holds within 1.5 dB
 * while the drive goes from 0 to 24 dB,
 *
 *     gain^2 = sum of time(a) a^2 / 2  /  sum of time(a) variance of s(g a sin t)
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { cosOfTurns } from '../core/maths.ts';
import type { SaturationCurve } from './saturation-curves.ts';

/** The weights p, q and r, and the bias. */
export interface OperatingPoint {
  readonly bias: number;
  readonly p: number;
  readonly q: number;
  readonly r: number;
}

const LEVELS = 24;
const STEP_DB = 1.5;
const TIME_PER_STEP = 1.2599210498948732; // 2^(1.5 / 4.5)
const PHASES = 32; // points of a cycle; what is above their 16th harmonic folds into the variance where it belongs

/** @param even - e: 0 leaves odd harmonics only, 1 the curve as it is */
export function operatingPoint(curve: SaturationCurve, bias: number, even: number): OperatingPoint {
  const scale = 1 / curve.slope(bias);
  return { bias, p: ((1 + even) / 2) * scale, q: ((1 - even) / 2) * scale, r: even * curve.value(bias) * scale };
}

/** s(u). */
export function shapedAt(curve: SaturationCurve, { bias, p, q, r }: OperatingPoint, u: number): number {
  return p * curve.value(bias + u) - (q === 0 ? 0 : q * curve.value(bias - u)) - r;
}

/** Gain behind s(drive x) with which hits from `peak` down have the power that they had. */
export function levelMatchGain(curve: SaturationCurve, point: OperatingPoint, drive: number, peak: number): number {
  const fall = dbToGain(-STEP_DB);
  let before = 0,
    after = 0;
  for (let j = 0, a = peak, time = 1; j < LEVELS; j++, a *= fall, time *= TIME_PER_STEP) {
    let sum = 0,
      squares = 0;
    for (let i = 0; i < PHASES; i++) {
      const y = shapedAt(curve, point, drive * a * cosOfTurns((i + 0.5) / PHASES));
      sum += y;
      squares += y * y;
    }
    before += (time * a * a) / 2;
    after += time * (squares / PHASES - (sum / PHASES) * (sum / PHASES));
  }
  return Math.sqrt(before / after);
}
