import { describe, expect, it } from 'vitest';
import { SchroederTank } from '../../src/reverb/schroeder-tank.ts';
import { impulse } from '../support/signals.ts';

const RATE = 1000;
const delays = { combs: [31, 37, 41, 43], allpasses: [11, 7, 5, 3, 2] };

describe('SchroederTank', () => {
  it('has allpasses of gain 0.65, less where they would ring for more than half of the shorter decay', () => {
    const gains = (low: number, high: number) => new SchroederTank(delays, RATE).design(low, high).slice(1, 6);
    expect(gains(5, 4)).toEqual([0.65, 0.65, 0.65, 0.65, 0.65]);
    // 60 dB in half of 0.1 s: 10^(-3 delay / 0.05 s).
    const expected = delays.allpasses.map((samples) => Math.min(0.65, 10 ** ((-3 * samples) / RATE / 0.05)));
    for (const found of [gains(0.1, 2), gains(2, 0.1), gains(0.1, 0.1)]) {
      found.forEach((g, j) => expect(g).toBeCloseTo(expected[j], 12));
    }
  });

  it('has a response of energy 1, of which level sqrt(N) (-g)^5 comes at once', () => {
    const tank = new SchroederTank(delays, RATE);
    const k = Float64Array.from(tank.design(0.3, 0.3));
    const h = new Float64Array(1152);
    const x = impulse(1152);
    for (let at = 0; at < h.length; at += 128) tank.process(x.subarray(at), h.subarray(at, at + 128), 128, k, 0);
    expect(h.reduce((sum, v) => sum + v * v, 0)).toBeCloseTo(1, 1); // echoes that meet add or cancel
    expect(h[0]).toBeCloseTo(k[0] * 2 * k.subarray(1, 6).reduce((product, g) => -product * g, 1), 15);
    expect(k).toHaveLength(tank.constants);
  });

  it('is late by its longest comb and once through its allpasses', () => {
    expect(new SchroederTank(delays, RATE).tailSamples).toBe(43 + 11 + 7 + 5 + 3 + 2);
  });
});
