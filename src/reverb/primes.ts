/**
 * Prime numbers. Delays that are distinct primes have no common divisor, so that the echoes of two loops meet only
 * every product of their lengths.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';

/**
 * The smallest prime that is `least` or more.
 *
 * @param least - whole number from 0 to 1e9
 * @throws RangeError or TypeError for anything else
 */
export function nextPrime(least: number): number {
  let candidate = Math.max(2, requireInteger('nextPrime: least', least, 0, 1e9));
  while (!isPrime(candidate)) candidate++;
  return candidate;
}

function isPrime(n: number): boolean {
  for (let divisor = 2; divisor * divisor <= n; divisor++) if (n % divisor === 0) return false;
  return true;
}
