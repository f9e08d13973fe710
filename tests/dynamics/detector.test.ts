import { describe, expect, it } from 'vitest';
import {
  analogue,
  branching,
  decoupled,
  type Detector,
  flush,
  lasting,
  rootMeanSquare,
  smoothBranching,
  smoothDecoupled,
} from '../../src/dynamics/detector.ts';
import vectors from '../vectors/dynamics.json';
import { constant, noise } from '../support/signals.ts';

const { alphaA, alphaR, sample_index, values } = vectors.detectors;
const coefficients = Float64Array.of(alphaA, alphaR);

/** Detectors of Giannoulis, Massberg, Reiss, JAES 60(6), 2012, and what another program made of their equations. */
const published: [string, Detector, number[]][] = [
  ['(12) analogue', analogue, values.analog],
  ['(14) decoupled', decoupled, values.decoupled],
  ['(15) branching', branching, values.branching],
  ['(16) smooth branching', smoothBranching, values.smooth_branching],
  ['(17) smooth decoupled', smoothDecoupled, values.smooth_decoupled],
];

/** 1 for 4800 samples, 0.25 for 4800, then 0: the input of the published values. */
const steps = (): Float64Array => {
  const x = new Float64Array(19200);
  x.fill(1, 0, 4800);
  x.fill(0.25, 4800, 9600);
  return x;
};

const PRINTED = 5e-12; // the values have 12 decimals, their coefficients 15: over 5000 samples the last of them adds up

describe('detector', () => {
  it.each(published)('%s gives the values of its equation', (_, detector, expected) => {
    const x = steps();
    detector(x, x.length, coefficients, 0, new Float64Array(2));
    expect(sample_index.length).toBe(19);
    expect(Math.max(...sample_index.map((n, i) => Math.abs(x[n] - expected[i])))).toBeLessThan(PRINTED);
  });

  it.each(published)('%s goes on from its state', (_, detector) => {
    const whole = noise(500).map(Math.abs);
    const first = whole.slice(0, 123),
      rest = whole.slice(123),
      state = new Float64Array(2);
    detector(whole, 500, coefficients, 0, new Float64Array(2));
    detector(first, 123, coefficients, 0, state);
    detector(rest, 377, coefficients, 0, state);
    expect([...first, ...rest]).toEqual([...whole]);
  });

  it.each(published.slice(1))('%s without attack and release is |x|', (_, detector) => {
    const x = noise(100).map(Math.abs);
    const y = x.slice();
    detector(y, 100, new Float64Array(2), 0, new Float64Array(2));
    // Branching falls to zero instead of x where the level falls; it is at x again with every rise.
    const same = y.every((v, i) => Math.abs(v - x[i]) < 1e-15 || (detector === branching && i > 0 && x[i] <= y[i - 1]));
    expect(same).toBe(true);
  });

  it('(12) settles too low, at (1 - A) / (2 - R - A), Eq. (13)', () => {
    const x = constant(1, 20000);
    analogue(x, x.length, coefficients, 0, new Float64Array(2));
    expect(x[19999]).toBeCloseTo((1 - alphaA) / (2 - alphaR - alphaA), 12);
  });

  it('(9), (10) is the root of the mean square: P / sqrt 2 for a sine, with the ripple 10 lg((1 + r) / (1 - r))', () => {
    // r = 1 / sqrt(1 + (2 w tau)^2): the one-pole smoother's response at twice the frequency of the sine.
    for (const tau of [0.01, 0.05]) {
      const x = Float64Array.from({ length: 96000 }, (_, n) => 0.8 * Math.sin((2 * Math.PI * 1000 * n) / 48000));
      rootMeanSquare(x, x.length, Float64Array.of(Math.exp(-1 / (tau * 48000))), 0, new Float64Array(1));
      const settled = Array.from(x.subarray(90000), (y) => 20 * Math.log10(y));
      const meanPower = x.subarray(90000).reduce((sum, y) => sum + y * y, 0) / 6000;
      const r = 1 / Math.sqrt(1 + (2 * 2 * Math.PI * 1000 * tau) ** 2);
      const ripple = 10 * Math.log10((1 + r) / (1 - r));
      expect(Math.sqrt(meanPower)).toBeCloseTo(0.8 / Math.SQRT2, 6);
      // 24 samples of the ripple's period miss its top by up to 1 - cos(pi / 24), 0.9 %.
      const measured = Math.max(...settled) - Math.min(...settled);
      expect(measured / ripple).toBeGreaterThan(0.985);
      expect(measured / ripple).toBeLessThan(1.0001);
    }
  });

  it('falls by 4.34 dB of level in its time constant as a mean square, by 8.69 dB as a magnitude', () => {
    const power = constant(0, 480),
      size = constant(0, 480);
    rootMeanSquare(power, 480, Float64Array.of(Math.exp(-1 / 480)), 0, Float64Array.of(1));
    smoothBranching(size, 480, Float64Array.of(0, Math.exp(-1 / 480)), 0, Float64Array.of(1, 0));
    expect(20 * Math.log10(power[479])).toBeCloseTo(-10 / Math.LN10, 9);
    expect(20 * Math.log10(size[479])).toBeCloseTo(-20 / Math.LN10, 9);
  });

  it('the lower of x and its average: y1 = x + L (y1 - x), which for L = 0 is the last x', () => {
    const x = Float64Array.of(-3, -1, -2),
      state = Float64Array.of(0, -8);
    lasting(x, 3, Float64Array.of(9, 0), 1, state);
    expect([...x]).toEqual([-3, -1, -2]);
    const rising = Float64Array.of(0, -4, 0);
    lasting(rising, 3, Float64Array.of(9, 0.5), 1, state);
    // Averages of half of each with the one before, from the -2 on: -1, -2.5, -1.25.
    expect([...rising]).toEqual([-1, -4, -1.25]);
    expect(state[1]).toBe(-1.25);
  });

  it('flushes what is below -600 dB and nothing else', () => {
    const state = Float64Array.of(9e-31, -9e-31, 1.1e-30, -1.1e-30, 1);
    flush(state);
    expect([...state]).toEqual([0, 0, 1.1e-30, -1.1e-30, 1]);
  });
});
