import { describe, expect, it } from 'vitest';
import { onePoleCoefficient, timeConstantFromNinety, timeConstantFromRise } from '../../src/core/smoothing.ts';

/** Time in samples at which the smoother's answer to a step passes a share of its way, by straight interpolation. */
function crossing(coefficient: number, share: number): number {
  let y = 0;
  for (let n = 1; n < 1e7; n++) {
    const before = y;
    y = 1 + coefficient * (y - 1);
    if (y >= share) return n - 1 + (share - before) / (y - before);
  }
  return NaN;
}

describe('smoothing', () => {
  it('the coefficient is exp(-1 / (tau fs))', () => {
    for (const [ms, fs] of [
      [0.1, 8000],
      [1, 44100],
      [100, 48000],
      [5000, 192000],
    ] as const) {
      const expected = Math.exp(-1 / ((ms / 1000) * fs));
      expect(Math.abs(onePoleCoefficient(ms, fs) / expected - 1)).toBeLessThan(1e-15);
    }
  });

  it('0 ms follows at once', () => {
    expect([onePoleCoefficient(0, 48000), onePoleCoefficient(-0, 48000)]).toEqual([0, 0]);
  });

  it('is 63.2 % of the way after the time constant', () => {
    const a = onePoleCoefficient(10, 48000);
    expect(Math.abs(crossing(a, 1 - Math.exp(-1)) - 480)).toBeLessThan(0.01);
  });

  it('a 10-90 % rise of 20 ms takes 20 ms from 10 to 90 %', () => {
    const a = onePoleCoefficient(timeConstantFromRise(20), 48000);
    expect(Math.abs(crossing(a, 0.9) - crossing(a, 0.1) - 960)).toBeLessThan(0.01);
  });

  it('a rise to 90 % in 20 ms takes 20 ms from the start', () => {
    const a = onePoleCoefficient(timeConstantFromNinety(20), 48000);
    expect(Math.abs(crossing(a, 0.9) - 960)).toBeLessThan(0.01);
  });
});
