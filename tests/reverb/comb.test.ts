import { describe, expect, it } from 'vitest';
import { absorption } from '../../src/reverb/absorption.ts';
import { CombBank } from '../../src/reverb/comb-bank.ts';
import { Comb } from '../../src/reverb/comb.ts';
import { firstDifference, impulse, largestDifference, noise } from '../support/signals.ts';

/** Response of a comb to a signal, in pieces of a length that divides nothing. */
function combed(delay: number, x: Float64Array, gain: number, pole?: number, piece = 101): Float64Array {
  const comb = new Comb(delay),
    y = x.slice();
  for (let at = 0; at < y.length; at += piece) {
    const part = y.subarray(at, at + piece);
    comb.process(part, part.length, gain, pole);
  }
  return y;
}

describe('Comb', () => {
  it('echoes an impulse as 1, g, g^2, ... every M samples, and nothing in between', () => {
    const y = combed(7, impulse(71), 0.8);
    const expected = Float64Array.from({ length: 71 }, (_, n) => (n % 7 === 0 ? 0.8 ** (n / 7) : 0));
    expect(largestDifference(y, expected)).toBeLessThan(1e-15);
  });

  it('has the magnitude 1 / (1 - g) on its peaks and 1 / (1 + g) between them', () => {
    const y = combed(10, impulse(4000), 0.8);
    const magnitude = (turns: number): number => {
      const at = (f: (x: number) => number) => y.reduce((sum, v, n) => sum + v * f(2 * Math.PI * turns * n), 0);
      return Math.hypot(at(Math.cos), at(Math.sin));
    };
    expect(magnitude(3 / 10)).toBeCloseTo(5, 9);
    expect(magnitude(3.5 / 10)).toBeCloseTo(1 / 1.8, 9);
  });

  it('with a pole is y[n] = x[n] + f[n], f[n] = gain y[n-M] + pole f[n-1]', () => {
    const x = noise(1000, 5),
      y = new Float64Array(1000);
    for (let n = 0, f = 0; n < 1000; n++) {
      f = 0.6 * (n >= 37 ? y[n - 37] : 0) + 0.25 * f;
      y[n] = x[n] + f;
    }
    expect(firstDifference(combed(37, x, 0.6, 0.25), y)).toBe(-1);
  });

  it('loses 60 dB at 0 Hz and at half the sample rate in the times asked for', () => {
    // 1 s and 0.4 s in a loop of 0.025 s at 8 kHz. Sum and alternating sum of an echo are its level at the two ends.
    const { gain, pole } = absorption(0.025, 1, 0.4);
    const y = combed(200, impulse(8200), gain, pole);
    const ends = (k: number): number[] => {
      const echo = y.subarray(200 * k, 200 * (k + 1));
      return [echo.reduce((s, v) => s + v, 0), echo.reduce((s, v, n) => s + (n % 2 === 0 ? v : -v), 0)];
    };
    const decibels = (k: number) => ends(k).map((v) => 20 * Math.log10(v));
    expect(decibels(40)[0]).toBeCloseTo(-60, 6); // 40 loops of 0.025 s
    expect(decibels(16)[1]).toBeCloseTo(-60, 6); // 16 loops
  });

  it('reset() equals a new one, and a delay that is no whole number is refused', () => {
    const comb = new Comb(30);
    const [first, second] = [noise(64), noise(64)];
    comb.process(first, 64, 0.9, 0.1);
    comb.reset();
    comb.process(second, 64, 0.9, 0.1);
    expect(firstDifference(first, second)).toBe(-1);
    expect(() => new Comb(0)).toThrow('Comb: delaySamples must be 1 to 4000000, got 0');
    expect(() => new Comb(1.5)).toThrow(RangeError);
  });

  it('goes on from a state that is handed over', () => {
    const [comb, other] = [new Comb(30), new Comb(30)];
    comb.process(noise(100), 100, 0.9, 0.1);
    comb.state.forEach((array, i) => other.state[i].set(array));
    const [next, same] = [noise(64, 2), noise(64, 2)];
    comb.process(next, 64, 0.9, 0.1);
    other.process(same, 64, 0.9, 0.1);
    expect(firstDifference(next, same)).toBe(-1);
  });
});

describe('CombBank', () => {
  const delays = [211, 223, 227, 229];
  const constants = [0.7, 0.2, 0.65, 0.21, 0.6, 0.22, 0.55, -0.1];

  it('adds the echoes of its four combs with the signs + - + -', () => {
    const x = noise(3000, 3);
    const before = noise(3000, 4);
    const expected = before.slice();
    delays.forEach((delay, c) => {
      const y = combed(delay, x, constants[2 * c], constants[2 * c + 1]);
      for (let n = 0; n < y.length; n++) expected[n] += (c % 2 === 0 ? 1 : -1) * (y[n] - x[n]);
    });
    const bank = new CombBank(delays),
      k = Float64Array.from([9, 9, ...constants]),
      y = before.slice();
    for (let at = 0; at < 3000; at += 128) {
      const count = Math.min(128, 3000 - at);
      bank.addTo(y.subarray(at), x.subarray(at, at + count), count, k, 2);
    }
    expect(largestDifference(y, expected)).toBeLessThan(1e-13);
  });

  it('is silent after reset()', () => {
    const bank = new CombBank(delays),
      k = Float64Array.from(constants),
      y = new Float64Array(128);
    for (let i = 0; i < 4; i++) bank.addTo(y, noise(128), 128, k, 0);
    bank.reset();
    y.fill(0);
    bank.addTo(y, new Float64Array(128), 128, k, 0);
    expect(firstDifference(y, new Float64Array(128))).toBe(-1);
  });
});
