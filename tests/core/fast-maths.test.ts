import { describe, expect, it } from 'vitest';
import { exp2InPlace, log2InPlace, tanhInPlace as scaledTanhInPlace } from '../../src/core/maths.ts';
import { FAST_DB } from '../support/tolerances.ts';
import { plainRandom } from '../support/worst.ts';

// Reference: the engine's Math. Errors in dB, because the functions are for levels and gains.
const POINTS = 1_000_000;
const DB_PER_OCTAVE = 20 * Math.log10(2);

type InPlace = (values: Float64Array, count: number) => void;

const tanhInPlace: InPlace = (values, count) => {
  scaledTanhInPlace(values, count, Float64Array.of(1, 1));
};

const spread = (min: number, max: number): Float64Array => {
  const random = plainRandom();
  return Float64Array.from({ length: POINTS }, (_, i) => min + ((max - min) * (i + random())) / POINTS);
};

const results = (f: InPlace, inputs: ArrayLike<number>): Float64Array => {
  const values = Float64Array.from(inputs);
  f(values, values.length);
  return values;
};

const worst = (f: InPlace, inputs: Float64Array, errorDb: (result: number, x: number) => number): number => {
  const outputs = results(f, inputs);
  let largest = 0;
  for (let i = 0; i < inputs.length; i++) {
    const error = Math.abs(errorDb(outputs[i], inputs[i]));
    if (!(error <= largest)) largest = error;
  }
  return largest;
};

const decibels = (ratio: number): number => 20 * Math.log10(ratio);

describe('maths in place: within 1e-6 dB at a million points', () => {
  it('log2InPlace', () => {
    const errorDb = (y: number, x: number): number => (y - Math.log2(x)) * DB_PER_OCTAVE;
    expect(worst(log2InPlace, spread(1e-9, 4), errorDb)).toBeLessThan(FAST_DB);
    expect(
      worst(
        log2InPlace,
        spread(-999, 1023).map((n) => 2 ** n),
        errorDb,
      ),
    ).toBeLessThan(2.7e-7);
  });

  it('exp2InPlace', () => {
    const errorDb = (y: number, x: number): number => decibels(y / 2 ** x);
    expect(worst(exp2InPlace, spread(-40, 10), errorDb)).toBeLessThan(FAST_DB);
    expect(worst(exp2InPlace, spread(-1000, 1000), errorDb)).toBeLessThan(1.3e-7);
  });

  it('tanhInPlace', () => {
    const errorDb = (y: number, x: number): number => (x === 0 ? y : decibels(y / Math.tanh(x)));
    expect(worst(tanhInPlace, spread(-12, 12), errorDb)).toBeLessThan(FAST_DB);
    expect(worst(tanhInPlace, spread(-1e-3, 1e-3), errorDb)).toBeLessThan(7e-7);
  });
});

describe('maths in place: exact values and edges', () => {
  it('log2InPlace is exact for powers of two', () => {
    const exponents = Array.from({ length: 2023 }, (_, i) => i - 999);
    expect([
      ...results(
        log2InPlace,
        exponents.map((n) => 2 ** n),
      ),
    ]).toEqual(exponents);
  });

  it('exp2InPlace is exact for whole numbers', () => {
    const exponents = Array.from({ length: 2001 }, (_, i) => i - 1000);
    expect([...results(exp2InPlace, exponents)]).toEqual(exponents.map((n) => 2 ** n));
  });

  it('log2InPlace is finite whatever comes in', () => {
    const odd = [0, -0, -1, 5e-324, 2 ** -1001, NaN, -Infinity, Infinity, Number.MAX_VALUE];
    expect([...results(log2InPlace, odd)]).toEqual([-1000, -1000, -1000, -1000, -1000, -1000, -1000, 1024, 1024]);
  });

  it('exp2InPlace is finite and above 0 whatever comes in', () => {
    const odd = [-1001, -Infinity, NaN, 1001, Infinity, Number.MAX_VALUE, 5e-324, -5e-324];
    const [low, high] = [2 ** -1000, 2 ** 1000];
    expect([...results(exp2InPlace, odd)]).toEqual([low, low, low, high, high, high, 1, 1]);
  });

  it('tanhInPlace is odd to the last bit', () => {
    const inputs = spread(0, 10);
    const positive = results(tanhInPlace, inputs);
    const negative = results(
      tanhInPlace,
      inputs.map((x) => -x),
    );
    expect(positive.every((y, i) => y === -negative[i])).toBe(true);
  });

  it('tanhInPlace scales what goes in and what comes out', () => {
    const values = Float64Array.of(0.1, -0.5);
    scaledTanhInPlace(values, 2, Float64Array.of(3, 0.25));
    expect([...values]).toEqual([...results(tanhInPlace, [3 * 0.1, 3 * -0.5])].map((y) => 0.25 * y));
  });

  it('tanhInPlace saturates at exactly 1', () => {
    expect([...results(tanhInPlace, [9, 1e300, Infinity, -9, -Infinity, 0])]).toEqual([1, 1, 1, -1, -1, 0]);
    expect(results(tanhInPlace, spread(8, 10)).every((y) => y <= 1)).toBe(true);
  });

  // Steps of a few units in the last place on both sides of every table entry, and a fine grid between
  const risingSteps = (min: number, max: number): Float64Array => {
    const points: number[] = [];
    for (let i = min * 2048; i <= max * 2048; i++) {
      for (const step of [-3, -2, -1, 0, 1, 2, 3, 2 ** 40, 2 ** 41]) points.push(i / 2048 + step * 2 ** -52);
    }
    return Float64Array.from(points).sort();
  };
  const falls = (values: Float64Array): number => {
    let count = 0;
    for (let i = 1; i < values.length; i++) if (values[i] < values[i - 1]) count++;
    return count;
  };

  it('tanhInPlace never falls', () => {
    expect(falls(results(tanhInPlace, risingSteps(-10, 10)))).toBe(0);
    expect(falls(results(tanhInPlace, spread(-10, 10)))).toBe(0);
  });

  it('log2InPlace and exp2InPlace never fall by more than a rounding', () => {
    expect(falls(results(log2InPlace, spread(0.25, 4)))).toBe(0);
    expect(falls(results(exp2InPlace, spread(-4, 4)))).toBe(0);
  });

  it('touches the first `count` values only', () => {
    for (const f of [log2InPlace, exp2InPlace, tanhInPlace]) {
      const values = new Float64Array(4).fill(0.5);
      f(values, 2);
      expect([values[0] !== 0.5, values[1] !== 0.5, values[2], values[3]]).toEqual([true, true, 0.5, 0.5]);
    }
  });
});
