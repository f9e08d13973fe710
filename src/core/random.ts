/**
 * Seeded random numbers: the same seed gives the same numbers on every engine.
 *
 *     t = a + b + counter++,   a = b ^ (b >> 9),   b = c + (c << 3),   c = (c rotated left by 21) + t,   all modulo 2^32
 *
 * Source: C. Doty-Humphrey, sfc32 of the PractRand test suite, 2010 (public domain), with its seeding: the seed in b
 * and c, counter 1, twelve steps thrown away. Its period is at least 2^32; the counter keeps seeds from meeting sooner.
 *
 * @module
 */
import { requireInteger } from './check.ts';
import { log } from './maths.ts';

const A = 0;
const B = 1;
const C = 2;
const COUNTER = 3;
const SPARE = 4; // second number of the pair that `normal` makes
const HAS_SPARE = 5; // 0 or 1

/** Random numbers from a seed. */
export class Random {
  /** Everything the next number depends on: copy it to save, write it back to restore. */
  readonly state: Float64Array = new Float64Array(6);

  /**
   * @param seed - whole number from 0 to 2^53 - 1
   * @throws RangeError for any other number, TypeError for anything else
   */
  constructor(seed: number) {
    requireInteger('Random: seed', seed, 0, Number.MAX_SAFE_INTEGER);
    this.state[B] = seed % 4294967296;
    this.state[C] = Math.floor(seed / 4294967296);
    this.state[COUNTER] = 1;
    for (let i = 0; i < 12; i++) this.next();
  }

  /** Uniform in 0 <= x < 1, a multiple of 2^-32. */
  next(): number {
    const state = this.state;
    const b = state[B] | 0;
    const c = state[C] | 0;
    const counter = state[COUNTER] | 0;
    const t = ((state[A] | 0) + b + counter) | 0;
    state[A] = b ^ (b >>> 9);
    state[B] = (c + (c << 3)) | 0;
    state[C] = (((c << 21) | (c >>> 11)) + t) | 0;
    state[COUNTER] = (counter + 1) | 0;
    return (t >>> 0) / 4294967296;
  }

  /** Uniform in min <= x < max. */
  uniform(min: number, max: number): number {
    return min + (max - min) * this.next();
  }

  /**
   * Normally distributed with mean 0 and standard deviation 1; magnitude below 7. Takes a varying number of `next`.
   *
   * Source: G. Marsaglia, T. A. Bray, "A Convenient Method for Generating Normal Variables", SIAM Review 6(3), 1964:
   * a point drawn evenly from the unit disc gives a pair of normal numbers.
   */
  normal(): number {
    const state = this.state;
    if (state[HAS_SPARE] === 1) {
      state[HAS_SPARE] = 0;
      return state[SPARE];
    }
    let x = 0;
    let y = 0;
    let square = 0;
    do {
      x = 2 * this.next() - 1;
      y = 2 * this.next() - 1;
      square = x * x + y * y;
    } while (square >= 1 || square === 0);
    const scale = Math.sqrt((-2 * log(square)) / square);
    state[SPARE] = y * scale;
    state[HAS_SPARE] = 1;
    return x * scale;
  }
}
