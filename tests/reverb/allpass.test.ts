import { describe, expect, it } from 'vitest';
import { RealFft } from '../../src/core/fft.ts';
import { Allpass } from '../../src/reverb/allpass.ts';
import reverb from '../vectors/reverb.json';
import { firstDifference, impulse, noise } from '../support/signals.ts';

function response(delay: number, gain: number, length: number, piece = 97): Float64Array {
  const allpass = new Allpass(delay),
    y = impulse(length);
  for (let at = 0; at < length; at += piece) {
    const part = y.subarray(at, at + piece);
    allpass.process(part, part.length, gain);
  }
  return y;
}

describe('Allpass', () => {
  it('answers an impulse with -g, 1 - g^2, (1 - g^2) g, ... every M samples', () => {
    const published = reverb['allpass_ir_g0.7'];
    const y = response(5, 0.7, 5 * published.length);
    const worst = Math.max(...published.map((v, k) => Math.abs(y[5 * k] - v)));
    expect(worst).toBeLessThan(5e-8); // the vector's digits
    expect(y.filter((v, n) => n % 5 !== 0 && v !== 0)).toHaveLength(0);
  });

  it.each([0.7, -0.5, 0.95])('passes every frequency with magnitude 1, and keeps the energy, at g = %f', (gain) => {
    const size = 16384; // 0.95^(16384 / 17) is below 1e-21
    const y = response(17, gain, size);
    const re = new Float64Array(size / 2 + 1),
      im = new Float64Array(size / 2 + 1);
    new RealFft(size).forward(y, re, im);
    let worst = 0;
    re.forEach((v, k) => (worst = Math.max(worst, Math.abs(Math.hypot(v, im[k]) - 1))));
    expect(worst).toBeLessThan(1e-12);
    expect(y.reduce((sum, v) => sum + v * v, 0)).toBeCloseTo(1, 12);
  });

  it('is y[n] = -g x[n] + x[n-M] + g y[n-M]', () => {
    const x = noise(500, 2),
      y = x.slice();
    const allpass = new Allpass(41);
    allpass.process(y, 500, 0.6);
    let worst = 0;
    for (let n = 41; n < 500; n++)
      worst = Math.max(worst, Math.abs(y[n] - (-0.6 * x[n] + x[n - 41] + 0.6 * y[n - 41])));
    expect(worst).toBeLessThan(1e-14);
  });

  it('reset() equals a new one, and a delay that is no whole number is refused', () => {
    const allpass = new Allpass(30);
    const [first, second] = [noise(64), noise(64)];
    allpass.process(first, 64, 0.7);
    allpass.reset();
    allpass.process(second, 64, 0.7);
    expect(firstDifference(first, second)).toBe(-1);
    expect(() => new Allpass(0)).toThrow('Allpass: delaySamples must be 1 to 4000000, got 0');
  });
});
