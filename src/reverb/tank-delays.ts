/**
 * Delays of a Schroeder tank: prime numbers of samples, so that no two echoes of an impulse repeat together.
 *
 *     comb i of N        30 ms * 1.5^((i + s) / N)              30 to 45 ms
 *     allpass j of 5     6 ms * 1.7^-j * 1.1^-s                 6 to 0.7 ms
 *
 * The shift s differs from channel to channel, 0, 1/2, 1/4, 3/4, 1/8, ... (the van der Corput sequence): each channel's
 * combs fall between those of the others, and the channels' tails have nothing in common.
 *
 * Delays so even, added with equal or alternating signs, would cancel in whole octaves below 500 Hz for the first few
 * echoes. The signs are those, of some hundred patterns with as many pluses as minuses, whose tails keep closest to an
 * exponential in the octaves from 125 Hz.
 *
 * Source: M. R. Schroeder, "Natural Sounding Artificial Reverberation", JAES 10(3), 1962, for combs between 30 and 45 ms
 * and allpasses in geometric progression, far shorter (from memory). Constants and signs are ours, found by trial.
 *
 * @module
 */
import { pow } from '../core/maths.ts';
import type { TankDelays } from '../core/simd-kernels.ts';
import { ALLPASSES_IN_CHAIN } from './allpass-chain.ts';
import { nextPrime } from './primes.ts';

/** Signs of the combs from the shortest to the longest. */
const SIGNS = { low: '+--+', medium: '++---+-+', high: '--+-+++--++-' };

/** How many combs a tank has: 4, 8 or 12. */
export type Density = keyof typeof SIGNS;

/** Delays of the tank of one channel: distinct primes. */
export function tankDelays(density: Density, channel: number, sampleRateHz: number): TankDelays {
  const taken = new Set<number>();
  const prime = (seconds: number): number => {
    let delay = nextPrime(Math.round(seconds * sampleRateHz));
    while (taken.has(delay)) delay = nextPrime(delay + 1);
    taken.add(delay);
    return delay;
  };
  const shift = vanDerCorput(channel);
  const signs = Array.from(SIGNS[density]);
  const combs = signs.map((_, i) => prime(0.03 * pow(1.5, (i + shift) / signs.length)));
  const plus = combs.filter((_, i) => signs[i] === '+'),
    minus = combs.filter((_, i) => signs[i] === '-');
  return {
    combs: plus.flatMap((delay, i) => [delay, minus[i]]),
    allpasses: Array.from({ length: ALLPASSES_IN_CHAIN }, (_, j) => prime(0.006 * pow(1.7, -j) * pow(1.1, -shift))),
  };
}

/** The bits of `index` mirrored at the binary point. */
function vanDerCorput(index: number): number {
  let value = 0;
  for (let bit = 0.5, rest = index; rest > 0; bit /= 2, rest = Math.floor(rest / 2)) value += bit * (rest % 2);
  return value;
}
