import { describe, expect, it } from 'vitest';
import { dbOfVelocity, velocityOfDb } from '../../src/hits/velocity.ts';

describe('the velocity curve', () => {
  // Dannenberg 2006: (m v + b)^2, r = amplitude at 127 over amplitude at 1.
  it('spans the range between velocity 1 and 127', () => {
    for (const rangeDb of [30, 60, 80]) {
      expect(dbOfVelocity(127, { rangeDb, loudestDb: -9 })).toBeCloseTo(-9, 12);
      expect(dbOfVelocity(1, { rangeDb, loudestDb: -9 })).toBeCloseTo(-9 - rangeDb, 10);
    }
  });

  it('is the square law in between', () => {
    const r = 1000; // 60 dB
    const b = 127 / (126 * Math.sqrt(r)) - 1 / 126;
    const m = (1 - b) / 127;
    for (const v of [1, 20, 64, 100]) expect(dbOfVelocity(v)).toBeCloseTo(20 * Math.log10((m * v + b) ** 2), 10);
  });

  it('inverts itself, and ends at 0 and 127', () => {
    for (let v = 0; v <= 127; v += 0.5) expect(velocityOfDb(dbOfVelocity(v))).toBeCloseTo(v, 10);
    expect(velocityOfDb(6)).toBe(127);
    expect(velocityOfDb(-200)).toBe(0);
  });

  it('refuses what is out of range', () => {
    expect(() => dbOfVelocity(128)).toThrow('dbOfVelocity: velocity must be 0 to 127, got 128');
    expect(() => velocityOfDb(0, { rangeDb: 100 })).toThrow('velocityOfDb: rangeDb must be 6 to 84, got 100');
  });
});
