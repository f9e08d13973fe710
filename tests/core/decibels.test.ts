import { describe, expect, it } from 'vitest';
import { dbToGain, gainToDb } from '../../src/core/decibels.ts';
import { LAST_PLACE } from '../support/tolerances.ts';
import { worstOver } from '../support/worst.ts';

// Reference: the engine's pow and log10; decimal powers of ten as the compiler reads them.
describe('decibels', () => {
  it('dbToGain is 10^(dB / 20) within 4e-15 from -200 to 200 dB, at a million points', () => {
    expect(worstOver(-200, 200, 1_000_000, (db) => Math.abs(dbToGain(db) / 10 ** (db / 20) - 1))).toBeLessThan(4e-15);
  });

  it('20 n dB is 10^n within one unit in the last place, from 1e-300 to 1e300', () => {
    let worst = 0;
    for (let n = -300; n <= 300; n++) worst = Math.max(worst, Math.abs(dbToGain(20 * n) / Number(`1e${n}`) - 1));
    expect(worst).toBeLessThanOrEqual(2 * LAST_PLACE);
    expect([dbToGain(0), dbToGain(-0), dbToGain(20), dbToGain(-20)]).toEqual([1, 1, 10, 0.1]);
  });

  it('gainToDb is 20 log10(gain) within 1e-15, at a million points', () => {
    const error = (octaves: number): number => Math.abs(gainToDb(2 ** octaves) / (20 * Math.log10(2 ** octaves)) - 1);
    expect(worstOver(-60, 60, 1_000_000, error)).toBeLessThan(1e-15);
    expect([gainToDb(1), gainToDb(10), gainToDb(0.1)]).toEqual([0, 20, -20]);
  });

  it('each undoes the other', () => {
    expect(worstOver(-200, 200, 100_000, (db) => Math.abs(gainToDb(dbToGain(db)) - db))).toBeLessThan(1e-13);
  });

  it('silence is -Infinity dB, and what has no level is NaN', () => {
    expect([gainToDb(0), gainToDb(-0), gainToDb(Infinity), gainToDb(-1), gainToDb(NaN)]).toEqual([
      -Infinity,
      -Infinity,
      Infinity,
      NaN,
      NaN,
    ]);
    expect([dbToGain(-Infinity), dbToGain(-7000), dbToGain(Infinity), dbToGain(6200), dbToGain(NaN)]).toEqual([
      0,
      0,
      Infinity,
      Infinity,
      NaN,
    ]);
  });
});
