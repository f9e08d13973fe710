import { describe, expect, it } from 'vitest';
import {
  asin,
  atan2,
  cos,
  cosOfTurns,
  exp,
  exp2,
  log,
  log10,
  log2,
  pow,
  sin,
  sinh,
  tanh,
  tanPi,
} from '../../src/core/maths.ts';
import { LAST_PLACE } from '../support/tolerances.ts';
import { worstOver } from '../support/worst.ts';

// Reference throughout: the engine's Math, itself within one unit in the last place (V8 takes it from fdlibm).
const MILLION = 1_000_000;
const CLOSER = 200_000; // a second look at a narrow range

type Real = (x: number) => number;

const relative = (ours: Real, theirs: Real): Real => {
  return (x) => (theirs(x) === 0 ? Math.abs(ours(x)) : Math.abs(ours(x) / theirs(x) - 1));
};
const absolute = (ours: Real, theirs: Real): Real => {
  return (x) => Math.abs(ours(x) - theirs(x));
};
/** Spreads the points over all octaves. */
const byOctave = (error: Real): Real => {
  return (x) => error(2 ** x);
};

const powerOfTwo: Real = (x) => 2 ** x;
const slope: [Real, Real] = [(t) => atan2(t, 1), (t) => Math.atan2(t, 1)];
const around: [Real, Real] = [(a) => atan2(sin(a), cos(a)), (a) => Math.atan2(sin(a), cos(a))];
/** tan(pi x), given as a ratio. */
const ofTurn =
  (whole: number): Real =>
  (x) =>
    tanPi(x * whole, whole);
const cotangent: Real = (x) => 1 / Math.tan(Math.PI * (0.5 - x));
/** Error of pow as a multiple of its bound. */
const ofBound = (base: number, exponent: number): number =>
  Math.abs(pow(base, exponent) / base ** exponent - 1) / ((4 + Math.abs(exponent)) * 1e-16);

describe('maths: the stated bounds hold at a million points', () => {
  const cases: [name: string, bound: number, min: number, max: number, points: number, error: Real][] = [
    ['exp2', 4e-16, -1021, 1023, MILLION, relative(exp2, powerOfTwo)],
    ['exp2 around 0', 4e-16, -1, 1, CLOSER, relative(exp2, powerOfTwo)],
    ['exp', 4e-16, -708, 709, MILLION, relative(exp, Math.exp)],
    ['exp around 0', 4e-16, -1, 1, CLOSER, relative(exp, Math.exp)],
    ['log', 4e-16, -1074, 1023.9, MILLION, byOctave(relative(log, Math.log))],
    ['log around 1', 4e-16, 0.5, 2, CLOSER, relative(log, Math.log)],
    ['log2', 4e-16, -1074, 1023.9, MILLION, byOctave(relative(log2, Math.log2))],
    ['log2 around 1', 4e-16, 0.5, 2, CLOSER, relative(log2, Math.log2)],
    ['log10', 4e-16, -1074, 1023.9, MILLION, byOctave(relative(log10, Math.log10))],
    ['log10 around 1', 4e-16, 0.5, 2, CLOSER, relative(log10, Math.log10)],
    ['sin', 1.2e-16, -1e5, 1e5, MILLION, absolute(sin, Math.sin)],
    ['sin, relative, around 0', 4e-16, -3, 3, CLOSER, relative(sin, Math.sin)],
    ['cos', 1.2e-16, -1e5, 1e5, MILLION, absolute(cos, Math.cos)],
    ['tanPi', 6e-16, 0, 0.25, MILLION, relative(ofTurn(1), (x) => Math.tan(Math.PI * x))],
    ['tanPi near its pole', 6e-16, 2 ** -25, 0.25, MILLION, (x) => relative(ofTurn(2), cotangent)(0.5 - x)],
    ['tanh', 1e-15, -25, 25, MILLION, relative(tanh, Math.tanh)],
    ['tanh around 0', 1e-15, -0.5, 0.5, CLOSER, relative(tanh, Math.tanh)],
    ['sinh', 1e-15, -710, 710, MILLION, relative(sinh, Math.sinh)],
    ['sinh around 0', 1e-15, -0.5, 0.5, CLOSER, relative(sinh, Math.sinh)],
    ['asin', 6e-16, -1, 1, MILLION, relative(asin, Math.asin)],
    ['atan2, every slope', 6e-16, -1074, 1023, MILLION, byOctave(relative(...slope))],
    ['atan2, small slopes', 3e-16, 0.03, 0.0625, CLOSER, relative(...slope)],
    ['atan2, every direction', 6e-16, -3.14, 3.14, CLOSER, relative(...around)],
    ['pow of 10, times its bound', 1, -20, 20, MILLION, (exponent) => ofBound(10, exponent)],
    ['pow of 2^37.3, times its bound', 1, -27, 27, 1000, (exponent) => ofBound(2 ** 37.3, exponent)],
    ['pow to 2.4, times its bound', 1, -400, 400, CLOSER, byOctave((base) => ofBound(base, 2.4))],
    ['pow to 999.5, times its bound', 1, 0.9, 1.1, CLOSER, (base) => ofBound(base, 999.5)],
  ];
  for (const [name, bound, min, max, points, error] of cases) {
    it(`${name}: ${bound}`, () => expect(worstOver(min, max, points, error)).toBeLessThanOrEqual(bound));
  }

  it('cosOfTurns: 2e-16, where the angle is exact', () => {
    // 2 pi t rounds, so the reference takes multiples of 1/64 turn, reduced by hand to at most 1/8 turn
    let worst = 0;
    for (let i = -64_000; i <= 64_000; i++) {
      const k = Math.abs(i) % 64;
      const j = Math.min(k, 64 - k); // 0 ... 32, half a turn
      const reference =
        j <= 8
          ? Math.cos((Math.PI * j) / 32)
          : j < 24
            ? Math.sin((Math.PI * (16 - j)) / 32)
            : -Math.cos((Math.PI * (32 - j)) / 32);
      worst = Math.max(worst, Math.abs(cosOfTurns(i / 64) - reference));
    }
    expect(worst).toBeLessThanOrEqual(2e-16);
  });
});

describe('maths: exact values and edges', () => {
  it('exp2 of a whole number is the power of two, down to the subnormals', () => {
    const wrong: number[] = [];
    for (let n = -1080; n <= 1030; n++) if (exp2(n) !== 2 ** n) wrong.push(n);
    expect(wrong).toEqual([]);
  });

  it('log2 of a power of two is its exponent', () => {
    const wrong: number[] = [];
    for (let n = -1074; n <= 1023; n++) if (log2(2 ** n) !== n) wrong.push(n);
    expect(wrong).toEqual([]);
  });

  it('log10 of a power of ten is within one unit in the last place of its exponent', () => {
    let worst = 0;
    for (let n = -307; n <= 308; n++)
      worst = Math.max(worst, Math.abs(log10(Number(`1e${n}`)) - n) / (Math.abs(n) || 1));
    expect(worst).toBeLessThanOrEqual(LAST_PLACE);
  });

  it('exp2 adds a tail that x cannot hold', () => {
    expect(exp2(40, 2 ** -30) / 2 ** 40 - 1).toBeCloseTo(2 ** -30 * Math.LN2, 15);
    expect(exp2(0, 0.5)).toBe(exp2(0.5));
  });

  it('overflows to Infinity and underflows to 0', () => {
    expect([exp2(1023.9999), exp2(1024), exp2(1e300), exp2(Infinity)].map(Number.isFinite)).toEqual([
      true,
      false,
      false,
      false,
    ]);
    expect([exp2(-1076), exp2(-1e300), exp2(-Infinity), exp(-746), exp(-Infinity)]).toEqual([0, 0, 0, 0, 0]);
    expect([exp(709.78), exp(709.79), exp(Infinity)].map(Number.isFinite)).toEqual([true, false, false]);
    expect(exp2(-1070.5)).toBe(2 ** -1070.5); // subnormal
    expect(exp(-740)).toBe(Math.exp(-740));
  });

  it('logarithms: -Infinity at 0, NaN below, Infinity at Infinity, 0 at 1', () => {
    for (const f of [log, log2, log10]) {
      expect([0, -0, -1e-320, -1, -Infinity, Infinity, 1].map(f)).toEqual([
        -Infinity,
        -Infinity,
        NaN,
        NaN,
        NaN,
        Infinity,
        0,
      ]);
    }
  });

  it('NaN gives NaN', () => {
    const results = [exp2, exp, log2, log, log10, sin, cos, cosOfTurns, tanh, sinh, asin].map((f) => f(NaN));
    expect([...results, pow(NaN, 1), pow(2, NaN), atan2(NaN, 1), atan2(1, NaN)].every(Number.isNaN)).toBe(true);
  });

  it('angles: 0 and quarter turns exact, infinite angles NaN, huge ones within -1 ... 1', () => {
    expect([sin(0), cos(0), tanPi(0, 1), atan2(0, 1), asin(0), asin(1), asin(-1)]).toEqual([
      0,
      1,
      0,
      0,
      0,
      Math.PI / 2,
      -Math.PI / 2,
    ]);
    expect([0, 0.25, 0.5, 0.75, 1, -0.25, 1e8 + 0.75].map((t) => cosOfTurns(t) + 0)).toEqual([1, 0, -1, 0, 1, 0, 0]);
    expect([sin(Infinity), cos(-Infinity)]).toEqual([NaN, NaN]);
    expect(worstOver(1e6, 1e12, 10_000, (x) => Math.abs(sin(x)))).toBeLessThanOrEqual(1);
    expect(worstOver(1e6, 1e8, 10_000, (x) => Math.abs(cos(x) - Math.cos(x)) / x)).toBeLessThan(1e-16);
    expect([asin(1.0000001), asin(-2)]).toEqual([NaN, NaN]);
  });

  it('tanPi keeps its digits as close to the pole as the ratio of two numbers can tell', () => {
    const gap = 2 ** -30; // Hz below half of 48 kHz; as a quotient it would have lost 5 digits
    expect(Math.abs(tanPi(24000 - gap, 48000) * Math.tan((Math.PI * gap) / 48000) - 1)).toBeLessThan(6e-16);
    expect(Math.abs(tanPi(12000, 48000) - 1)).toBeLessThanOrEqual(LAST_PLACE);
  });

  it('atan2 agrees with Math.atan2 on zeros, axes, infinities and signs', () => {
    const values = [0, -0, 1, -1, 2, -2, 1e-300, 1e300, -1e300, Infinity, -Infinity];
    const wrong: string[] = [];
    for (const y of values) {
      for (const x of values) {
        const error = Math.abs(atan2(y, x) - Math.atan2(y, x));
        const sign = Object.is(Math.sign(atan2(y, x)), Math.sign(Math.atan2(y, x)));
        if (!(error <= 2 * LAST_PLACE) || !sign) wrong.push(`${y}, ${x}: ${atan2(y, x)}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  it('tanh saturates at exactly 1 and never passes it; tanh and sinh are odd', () => {
    expect([tanh(22), tanh(1e300), tanh(Infinity), tanh(-Infinity)]).toEqual([1, 1, 1, -1]);
    expect(worstOver(0, 30, 100_000, (x) => Math.abs(tanh(x)))).toBe(1);
    expect(worstOver(0, 30, 100_000, (x) => Math.abs(tanh(x) + tanh(-x)))).toBe(0);
    expect(worstOver(0, 709, 100_000, (x) => Math.abs(sinh(x) + sinh(-x)))).toBe(0);
    expect([sinh(0), sinh(Infinity), sinh(-Infinity), Number.isFinite(sinh(710.4))]).toEqual([
      0,
      Infinity,
      -Infinity,
      true,
    ]);
  });

  it('pow: exponent 0, base 0, 1 and Infinity, negative bases', () => {
    expect([pow(5, 0), pow(0, 0), pow(NaN, 0), pow(1, 1e308), pow(1, -1e308)]).toEqual([1, 1, 1, 1, 1]);
    expect([pow(0, 2), pow(0, -2), pow(Infinity, 0.5), pow(Infinity, -1)]).toEqual([0, Infinity, Infinity, 0]);
    expect([pow(-2, 2), pow(2, 1e9), pow(2, -1e9), pow(0.5, Infinity)]).toEqual([NaN, Infinity, 0, 0]);
    expect([pow(2, 10), pow(4, 0.5), pow(2 ** -1060, 0.5), pow(10, 3)]).toEqual([1024, 2, 2 ** -530, 1000]);
  });
});
