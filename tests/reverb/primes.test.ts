import { describe, expect, it } from 'vitest';
import { nextPrime } from '../../src/reverb/primes.ts';

describe('nextPrime', () => {
  it('finds the primes that the sieve of Eratosthenes leaves', () => {
    const limit = 5000;
    const composite = new Set<number>([0, 1]);
    for (let p = 2; p * p <= limit; p++) for (let m = p * p; m <= limit; m += p) composite.add(m);
    const sieved = Array.from({ length: limit }, (_, n) => n).filter((n) => !composite.has(n));
    const found: number[] = [];
    for (let n = 0; nextPrime(n) < limit; n = nextPrime(n) + 1) found.push(nextPrime(n));
    expect(found).toEqual(sieved);
  });

  it('gives the lengths at 48 and 44.1 kHz of the delays 29.7, 37.1, 41.1, 43.7, 5.0, 1.7 ms', () => {
    const at = (rate: number) =>
      [29.7, 37.1, 41.1, 43.7, 5, 1.7].map((ms) => nextPrime(Math.round((ms * rate) / 1000)));
    expect(at(48000)).toEqual([1427, 1783, 1973, 2099, 241, 83]);
    expect(at(44100)).toEqual([1319, 1637, 1823, 1931, 223, 79]);
  });

  it('refuses what is not a whole number from 0', () => {
    expect(() => nextPrime(-1)).toThrow(new RangeError('nextPrime: least must be 0 to 1000000000, got -1'));
    expect(() => nextPrime(2.5)).toThrow(RangeError);
    expect(() => nextPrime('7' as never)).toThrow(TypeError);
  });
});
