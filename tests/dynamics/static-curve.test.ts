import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { expansionCurve, staticCurve, staticGain, upwardCurve } from '../../src/dynamics/static-curve.ts';
import { halfDigit } from '../support/tolerances.ts';
import vectors from '../vectors/dynamics.json';

const TABLE_DB = 1e-9; // what the tables of the vectors promise

/** JSON knows no Infinity. */
const ratioOf = (r: number | string): number => Number(r);

describe('staticCurve', () => {
  // Giannoulis, Massberg, Reiss, JAES 60(6), 2012, Eq. (4), evaluated by another program.
  it.each(vectors.compressor_static)('is Eq. (4) for T $T, R $R, W $W', ({ T, R, W, x_dB, y_dB, gain_dB }) => {
    const options = { thresholdDb: T, ratio: ratioOf(R), kneeDb: W };
    const worst = (error: (x: number, i: number) => number) => Math.max(...x_dB.map(error).map(Math.abs));
    expect(x_dB.length).toBe(14);
    expect(worst((x, i) => staticGain(x, options) - gain_dB[i])).toBeLessThan(TABLE_DB);
    expect(worst((x, i) => staticCurve(x, options) - x - gain_dB[i])).toBeLessThan(TABLE_DB);
    expect(worst((x, i) => staticCurve(x, options) - y_dB[i])).toBeLessThan(halfDigit(8)); // printed to 8 decimals
  });

  it('passes what is below the knee, silence too, as it is', () => {
    expect(staticGain(-30, { thresholdDb: -20, ratio: 4, kneeDb: 20 })).toBe(0);
    expect(staticCurve(-Infinity, { thresholdDb: -20, ratio: Infinity, kneeDb: 6 })).toBe(-Infinity);
    expect(staticCurve(-20, { thresholdDb: -20, ratio: 4 })).toBe(-20);
  });

  it('changes the level at the threshold by (1/R - 1) W/8', () => {
    expect(staticGain(-18, { thresholdDb: -18, ratio: 3, kneeDb: 12 })).toBeCloseTo((1 / 3 - 1) * 1.5, 12);
  });

  it('has slope 1 where the knee begins and 1/R where it ends, without a step', () => {
    const options = { thresholdDb: -20, ratio: 5, kneeDb: 8 };
    const slope = (x: number) => (staticCurve(x + 1e-5, options) - staticCurve(x - 1e-5, options)) / 2e-5;
    expect(slope(-24)).toBeCloseTo(1, 5);
    expect(slope(-16)).toBeCloseTo(0.2, 5);
  });

  it('never rises faster than the input, never falls, for any shape', () => {
    const db = fc.double({ min: -100, max: 20, noNaN: true });
    fc.assert(
      fc.property(
        db,
        db,
        db,
        fc.double({ min: 1, max: 1000, noNaN: true }),
        fc.double({ min: 0, max: 60, noNaN: true }),
        (a, b, t, ratio, w) => {
          const options = { thresholdDb: t, ratio, kneeDb: w };
          const rise = staticCurve(Math.max(a, b), options) - staticCurve(Math.min(a, b), options);
          return rise >= -1e-12 && rise <= Math.abs(a - b) + 1e-12;
        },
      ),
    );
  });

  it('refuses shapes that are none', () => {
    expect(() => staticCurve(0, { thresholdDb: 0, ratio: 0.5 })).toThrow(
      new RangeError('staticCurve: ratio must be 1 to Infinity, got 0.5'),
    );
    expect(() => staticCurve(NaN, { thresholdDb: 0, ratio: 2 })).toThrow(/^staticCurve: levelDb must be/);
    expect(() => staticCurve(0, { thresholdDb: 1001, ratio: 2 })).toThrow(/^staticCurve: thresholdDb must be/);
    expect(() => staticCurve(0, { thresholdDb: 0, ratio: 2, kneeDb: -1 })).toThrow(/kneeDb must be 0 to 240, got -1/);
    expect(() => expansionCurve(NaN, { thresholdDb: 0, ratio: 2 })).toThrow(/^expansionCurve: levelDb must be/);
    expect(() => expansionCurve(0, { thresholdDb: 1001, ratio: 2 })).toThrow(/^expansionCurve: thresholdDb must be/);
    expect(() => expansionCurve(0, { thresholdDb: 0, ratio: 2, kneeDb: 241 })).toThrow(/^expansionCurve: kneeDb must/);
    expect(() => expansionCurve(0, { thresholdDb: 0, ratio: 2, rangeDb: NaN })).toThrow(/rangeDb must be/);
  });
});

describe('expansionCurve', () => {
  // The mirror image of Eq. (4), evaluated by another program.
  it.each(vectors.expander_static)('is the mirrored knee for T $T, R $R, W $W', ({ T, R, W, range_dB, x_dB, y_dB }) => {
    const options = { thresholdDb: T, ratio: ratioOf(R), kneeDb: W, rangeDb: range_dB ?? Infinity };
    expect(x_dB.length).toBe(14);
    expect(Math.max(...x_dB.map((x, i) => Math.abs(expansionCurve(x, options) - y_dB[i])))).toBeLessThan(TABLE_DB);
  });

  it('mirrors the compressor about the threshold: equal knees, slopes R - 1 and 1 - 1/R', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 60, noNaN: true }), fc.double({ min: 0, max: 40, noNaN: true }), (x, w) => {
        // R = 2 expands by as much as "ratio -> infinity" compresses: both slopes are 1.
        const compressed = staticGain(-30 + x, { thresholdDb: -30, ratio: Infinity, kneeDb: w });
        const expanded = expansionCurve(-30 - x, { thresholdDb: -30, ratio: 2, kneeDb: w }) - (-30 - x);
        return Math.abs(compressed - expanded) < 1e-12;
      }),
    );
  });

  it('keeps silence silent, and a ratio of 1 changes nothing', () => {
    expect(expansionCurve(-Infinity, { thresholdDb: -40, ratio: 4, rangeDb: 20 })).toBe(-Infinity);
    expect(expansionCurve(-Infinity, { thresholdDb: -40, ratio: 1 })).toBe(-Infinity);
    expect(expansionCurve(-41.5, { thresholdDb: -40, ratio: 1, kneeDb: 6 })).toBe(-41.5);
  });
});

describe('upwardCurve', () => {
  it('raises what lies below the threshold to T - (T - in) / R, at most by the range', () => {
    const options = { thresholdDb: -30, ratio: 3, rangeDb: 10 };
    for (const [input, output] of [
      [0, 0],
      [-30, -30],
      [-36, -32],
      [-45, -35],
      [-60, -50], // the line would be at -40
      [-200, -190],
      [-Infinity, -Infinity],
    ])
      expect(upwardCurve(input, options)).toBeCloseTo(output, 12);
    expect(upwardCurve(-90, { thresholdDb: -30, ratio: Infinity })).toBeCloseTo(-30, 12);
  });

  it('is the inverse of an expander without a knee: what one lowers, the other raises', () => {
    const db = fc.double({ min: -100, max: 20, noNaN: true });
    fc.assert(
      fc.property(db, db, fc.double({ min: 1, max: 20, noNaN: true }), (level, thresholdDb, ratio) => {
        const there = upwardCurve(level, { thresholdDb, ratio });
        return Math.abs(expansionCurve(there, { thresholdDb, ratio }) - level) < 1e-9;
      }),
    );
  });

  it('has slope 1/R below the knee and 1 above, without a step, and the gain (1 - 1/R) W/8 at the threshold', () => {
    const options = { thresholdDb: -20, ratio: 5, kneeDb: 8 };
    const slope = (x: number) => (upwardCurve(x + 1e-5, options) - upwardCurve(x - 1e-5, options)) / 2e-5;
    expect(slope(-24)).toBeCloseTo(0.2, 5);
    expect(slope(-16)).toBeCloseTo(1, 5);
    expect(upwardCurve(-20, options) + 20).toBeCloseTo(0.8, 12);
  });

  it('leaves silence silent, whatever the range: no gain makes a sound of nothing', () => {
    expect(upwardCurve(-Infinity, { thresholdDb: -40, ratio: 2 })).toBe(-Infinity);
    expect(upwardCurve(-Infinity, { thresholdDb: -40, ratio: 2, rangeDb: 12 })).toBe(-Infinity);
  });

  it('refuses shapes that are none', () => {
    expect(() => upwardCurve(0, { thresholdDb: 0, ratio: 0.5 })).toThrow(
      new RangeError('upwardCurve: ratio must be 1 to Infinity, got 0.5'),
    );
    expect(() => upwardCurve(0, { thresholdDb: 0, ratio: 2, rangeDb: -1 })).toThrow(/rangeDb must be 0 to Infinity/);
  });
});
