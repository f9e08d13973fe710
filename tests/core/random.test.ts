import { describe, expect, it } from 'vitest';
import { Random } from '../../src/core/random.ts';
import { LAST_PLACE, STANDARD_ERRORS } from '../support/tolerances.ts';

/** The published recurrence of sfc32 written again, in unbounded integers. */
function* sfc32(seed: bigint): Generator<number> {
  const mod = 2n ** 32n;
  let [a, b, c, counter] = [0n, seed % mod, seed / mod, 1n];
  for (let i = 0; ; i++) {
    const t = (a + b + counter) % mod;
    counter = (counter + 1n) % mod;
    a = b ^ (b >> 9n);
    b = (c * 9n) % mod;
    c = ((c * 2n ** 21n) % mod) + c / 2n ** 11n + t;
    c %= mod;
    if (i >= 12) yield Number(t);
  }
}

const COUNT = 1_000_000;

describe('Random', () => {
  it('follows sfc32, for small, large and negative-looking seeds', () => {
    for (const seed of [0, 1, 4294967295, 4294967296, 123456789012345, Number.MAX_SAFE_INTEGER]) {
      const random = new Random(seed);
      const expected = sfc32(BigInt(seed));
      const pairs = Array.from({ length: 1000 }, () => [random.next() * 2 ** 32, expected.next().value as number]);
      expect(pairs.filter(([ours, theirs]) => ours !== theirs)).toEqual([]);
    }
  });

  it('next is even over 256 cells (chi-square), stays in 0 <= x < 1 and does not follow itself', () => {
    const random = new Random(7);
    const cells = new Float64Array(256);
    let [low, high, products, previous] = [1, 0, 0, 0.5];
    for (let i = 0; i < COUNT; i++) {
      const x = random.next();
      cells[Math.floor(256 * x)]++;
      low = Math.min(low, x);
      high = Math.max(high, x);
      products += (x - 0.5) * (previous - 0.5);
      previous = x;
    }
    const chiSquare = cells.reduce((sum, n) => sum + (n - COUNT / 256) ** 2 / (COUNT / 256), 0);
    expect(Math.abs(chiSquare - 255)).toBeLessThan(STANDARD_ERRORS * Math.sqrt(2 * 255));
    expect(low).toBeGreaterThanOrEqual(0);
    expect(high).toBeLessThan(1);
    expect(Math.abs(products / COUNT)).toBeLessThan((STANDARD_ERRORS * (1 / 12)) / Math.sqrt(COUNT));
  });

  it('uniform fills its range', () => {
    const random = new Random(3);
    let [low, high, sum] = [Infinity, -Infinity, 0];
    for (let i = 0; i < COUNT; i++) {
      const x = random.uniform(-2, 6);
      low = Math.min(low, x);
      high = Math.max(high, x);
      sum += x;
    }
    expect([low >= -2, low < -1.999, high < 6, high > 5.999]).toEqual([true, true, true, true]);
    expect(Math.abs(sum / COUNT - 2)).toBeLessThan((STANDARD_ERRORS * 8) / Math.sqrt(12 * COUNT));
  });

  it('normal has the moments and the shares of the normal distribution', () => {
    const random = new Random(11);
    const moments = [0, 0, 0, 0];
    const within = [0, 0, 0];
    let neighbours = 0;
    let previous = 0;
    for (let i = 0; i < COUNT; i++) {
      const x = random.normal();
      for (let k = 0; k < 4; k++) moments[k] += x ** (k + 1) / COUNT;
      for (let k = 0; k < 3; k++) if (Math.abs(x) < k + 1) within[k]++;
      neighbours += (x * previous) / COUNT;
      previous = x;
    }
    // Moments 0, 1, 0, 3 with variances 1, 2, 15, 96 per sample; shares within 1, 2, 3 standard deviations from tables
    const variances = [1, 2, 15, 96];
    const expected = [0, 1, 0, 3];
    for (let k = 0; k < 4; k++) {
      expect(Math.abs(moments[k] - expected[k])).toBeLessThan(STANDARD_ERRORS * Math.sqrt(variances[k] / COUNT));
    }
    const shares = [0.6826895, 0.9544997, 0.9973002];
    for (let k = 0; k < 3; k++) {
      const error = Math.sqrt((shares[k] * (1 - shares[k])) / COUNT);
      expect(Math.abs(within[k] / COUNT - shares[k])).toBeLessThan(STANDARD_ERRORS * error);
    }
    expect(Math.abs(neighbours)).toBeLessThan(STANDARD_ERRORS / Math.sqrt(COUNT));
  });

  it('normal takes both numbers of a point drawn from the unit disc', () => {
    const [random, twin] = [new Random(13), new Random(13)];
    let worst = 0;
    for (let i = 0; i < 1000; i++) {
      let [x, y, square] = [0, 0, 1];
      while (square >= 1 || square === 0) {
        x = 2 * twin.next() - 1;
        y = 2 * twin.next() - 1;
        square = x * x + y * y;
      }
      const scale = Math.sqrt((-2 * Math.log(square)) / square);
      worst = Math.max(worst, Math.abs(random.normal() / (x * scale) - 1), Math.abs(random.normal() / (y * scale) - 1));
    }
    expect(worst).toBeLessThan(4 * LAST_PLACE);
  });

  it('goes on from a saved state, through JSON, also in the middle of a normal pair', () => {
    const random = new Random(5);
    random.normal();
    const saved = JSON.stringify([...random.state]);
    const expected = [random.normal(), random.next(), random.normal()];
    const restored = new Random(99);
    restored.state.set(JSON.parse(saved) as number[]);
    expect([restored.normal(), restored.next(), restored.normal()]).toEqual(expected);
  });

  it('gives other numbers for another seed', () => {
    const first = Array.from({ length: 1000 }, (_, seed) => new Random(seed).next());
    expect(new Set(first).size).toBe(1000);
  });

  it('refuses seeds it cannot hold', () => {
    expect(() => new Random(-1)).toThrow(new RangeError('Random: seed must be 0 to 9007199254740991, got -1'));
    expect(() => new Random(0.5)).toThrow(RangeError);
    expect(() => new Random('1' as unknown as number)).toThrow(TypeError);
  });
});
