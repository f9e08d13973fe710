import { describe, expect, it } from 'vitest';
import { SlidingMinimum } from '../../src/core/sliding-minimum.ts';
import { BoxSum } from '../../src/dynamics/box-sum.ts';
import { GainSmoother } from '../../src/dynamics/gain-smoother.ts';
import vectors from '../vectors/limiter.json';
import { constant, firstDifference, largestDifference, numbers } from '../support/signals.ts';

/** Gains for random levels: often 1, now and then far below. */
function gains(length: number, seed: number): Float64Array {
  const next = numbers(seed);
  return Float64Array.from({ length }, () => (next() < 0.9 ? 1 : next() ** 2));
}

/** A smoother with a release coefficient. */
function released(lookaheadSamples: number, release: number): GainSmoother {
  const smoother = new GainSmoother(lookaheadSamples);
  smoother.release = release;
  return smoother;
}

/** The smoother as its definition says, without any trick: O(L^2) per sample. */
function plainSmoother(g: Float64Array, L: number, release: number): Float64Array {
  const at = (x: Float64Array | number[], n: number) => (n < 0 ? 1 : x[n]);
  const r: number[] = [];
  for (let n = 0; n < g.length; n++) {
    let m = 1;
    for (let j = 0; j <= L; j++) m = Math.min(m, at(g, n - j));
    r.push(Math.min(m, 1 - release * (1 - at(r, n - 1))));
  }
  const a = Math.floor(L / 2) + 1,
    b = L + 2 - a;
  const weights = new Float64Array(L + 1);
  for (let i = 0; i < a; i++) for (let j = 0; j < b; j++) weights[i + j] += 1 / (a * b);
  return g.map((_, n) => weights.reduce((sum, w, j) => sum + w * at(r, n - j), 0));
}

/** r is rounded down to a multiple of 2^-28. */
const STEP = 2 ** -28;

describe('BoxSum', () => {
  it('is the sum of the last N samples, to the bit, without drift', () => {
    const x = gains(100_000, 1).map((g) => Math.floor(g * 2 ** 28));
    const y = x.slice();
    new BoxSum(37, 5).process(y, y.length);
    const expected = x.map((_, n) => {
      let sum = 0;
      for (let j = 0; j < 37; j++) sum += n - j < 0 ? 5 : x[n - j];
      return sum;
    });
    expect(firstDifference(y, expected)).toBe(-1);
  });
});

describe('the smoothing of a look-ahead limiter', () => {
  const c = vectors.impulse.ceiling;
  const impulse = constant(0, vectors.impulse.input_impulse.length);
  impulse[vectors.impulse.input_impulse.index] = vectors.impulse.input_impulse.value;

  // Worked example, made by another program: sliding minimum over 5 samples, then the mean of 5; no release.
  it.each([
    ['impulse', impulse, vectors.impulse.gain, vectors.impulse.output],
    ['burst', Float64Array.from(vectors.burst.input), vectors.burst.gain, vectors.burst.output],
  ])('by minimum and one box of five taps gives the published %s', (_, x, gain, output) => {
    const s = x.map((v) => Math.floor(2 ** 28 * Math.min(1, c / Math.abs(v))));
    new SlidingMinimum(4, 2 ** 28).process(s, s.length);
    new BoxSum(5, 2 ** 28).process(s, s.length);
    const g = s.map((v) => v / (5 * 2 ** 28));
    expect(largestDifference(g, gain)).toBeLessThan(STEP);
    expect(
      largestDifference(
        g.map((v, n) => v * (x[n - 4] ?? 0)),
        output,
      ),
    ).toBeLessThan(3 * STEP);
  });
});

describe('GainSmoother', () => {
  it('answers one low gain with the weights of two boxes: 1 2 3 2 1 over 9, seen through the minimum', () => {
    const g = constant(1, 20);
    g[6] = 0.1;
    released(4, 0).process(g, 20);
    const kernel = [1, 2, 3, 2, 1];
    const asked = Array.from({ length: 20 }, (_, n) =>
      kernel.reduce((sum, w, j) => sum + (n - j >= 6 && n - j <= 10 ? 0.1 * w : w) / 9, 0),
    );
    expect(largestDifference(g, asked)).toBeLessThan(STEP);
    expect(g[10]).toBeLessThanOrEqual(0.1);
  });

  it.each([1, 2, 5, 48, 241])('is what the definition says for L = %i, from any state', (L) => {
    const g = gains(3000, L);
    const release = Math.exp(-1 / 100);
    const s = g.slice();
    const smoother = released(L, release);
    for (let start = 0; start < 3000; start += 117)
      smoother.process(s.subarray(start, start + 117), Math.min(117, 3000 - start));
    expect(largestDifference(s, plainSmoother(g, L, release))).toBeLessThan(2 * STEP);
  });

  it.each([1, 2, 5, 48, 241])('never lets the delayed signal have more than its own gain, L = %i', (L) => {
    const g = gains(20_000, 7 + L);
    const s = g.slice();
    released(L, Math.exp(-1 / 300)).process(s, s.length);
    expect(s.findIndex((v, n) => n >= L && v > g[n - L])).toBe(-1);
  });

  it('releases along 1 - (1 - g) exp(-n / release), and then is exactly 1', () => {
    const g = constant(1, 60_000);
    g[0] = 0.25;
    released(2, Math.exp(-1 / 480)).process(g, g.length);
    // Sample 0 is in the window of the minimum until 2; r falls back from there; boxes of 2 and 2 average r[n-2 .. n].
    const r = (n: number) => 1 - 0.75 * Math.exp(-(n - 2) / 480);
    expect(Math.abs(g[2 + 480] - (r(482) + 2 * r(481) + r(480)) / 4)).toBeLessThan(2 * STEP);
    // 0.75 has fallen below 2^-29 after 480 ln(0.75 2^29) samples.
    const end = 2 + Math.ceil(480 * Math.log(0.75 * 2 ** 29)) + 2;
    expect(firstDifference(g.subarray(end), constant(1, 60_000 - end))).toBe(-1);
    expect(g[end - 10]).toBeLessThan(1);
  });

  it('goes on to the bit like another one, once it has become it', () => {
    const [smoother, other] = [released(48, 0.999), released(48, 0.999)];
    smoother.process(gains(1000, 5), 1000);
    other.process(gains(77, 6), 77);
    other.become(smoother);
    const g = gains(500, 7),
      same = g.slice();
    smoother.process(g, 500);
    other.process(same, 500);
    expect(firstDifference(same, g)).toBe(-1);
  });

  it('is as new after a reset', () => {
    const smoother = released(48, 0.999);
    smoother.process(gains(1000, 5), 1000);
    smoother.reset();
    const rest = constant(1, 200);
    smoother.process(rest, 200);
    expect(firstDifference(rest, constant(1, 200))).toBe(-1);
  });

  it('moves without a corner: its steps change by no more than a triangle asks', () => {
    const g = constant(1, 400).fill(0, 100);
    released(60, 0).process(g, 400);
    const bend = Array.from(g.subarray(2), (v, n) => Math.abs(v - 2 * g[n + 1] + g[n]));
    expect(Math.max(...bend)).toBeLessThan(1 / (31 * 31) + 4 * STEP); // one box of 61 taps would have 1/61
  });
});
