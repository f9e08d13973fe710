import { describe, expect, it } from 'vitest';
import { nextPrime } from '../../src/reverb/primes.ts';
import { tankDelays } from '../../src/reverb/tank-delays.ts';

const RATE = 48000;
/** The first numbers of the van der Corput sequence in base 2. */
const shifts = [0, 1 / 2, 1 / 4, 3 / 4, 1 / 8, 5 / 8, 3 / 8, 7 / 8, 1 / 16];

describe('tankDelays', () => {
  it.each(shifts.map((shift, channel) => ({ shift, channel })))(
    'of channel $channel are the primes at a shift of $shift',
    ({ shift, channel }) => {
      const primeAt = (seconds: number) => nextPrime(Math.round(seconds * RATE));
      for (const [density, count] of [
        ['low', 4],
        ['medium', 8],
        ['high', 12],
      ] as const) {
        const { combs, allpasses } = tankDelays(density, channel, RATE);
        expect([...combs].sort((a, b) => a - b)).toEqual(
          Array.from({ length: count }, (_, i) => primeAt(0.03 * 1.5 ** ((i + shift) / count))),
        );
        expect(allpasses).toEqual([0, 1, 2, 3, 4].map((j) => primeAt(0.006 * 1.7 ** -j * 1.1 ** -shift)));
      }
    },
  );
});
