import { describe, expect, it } from 'vitest';
import { Shell } from '../../src/core/shell.ts';
import { firstDifference, noise } from '../support/signals.ts';

/** The least that a processor is: it doubles its input. */
class Double extends Shell {
  constructor() {
    super('Double', { sampleRateHz: 48000, channels: 1 });
    this.begin();
  }

  protected override advance(x: Float64Array[], count: number): void {
    for (let i = 0; i < count; i++) x[0][i] *= 2;
  }
}

describe('Shell', () => {
  it('hands every sample of a block of any length to its kernel', () => {
    const x = noise(1000),
      y = new Float64Array(1000);
    new Double().process([x], [y]);
    const twice = x.map((v) => 2 * v);
    expect(firstDifference(y, twice)).toBe(-1);
  });

  it.each([true, false])(
    'leaves an input alone that is not the output: rows of 128 doubles, trusted: %s',
    (trusted) => {
      const x = noise(128),
        y = noise(128, 2);
      new Double().process([x], [y], { trusted });
      expect(firstDifference(x, noise(128))).toBe(-1);
      const twice = x.map((v) => 2 * v);
      expect(firstDifference(y, twice)).toBe(-1);
    },
  );

  it('guards rows of 128 doubles in place unless they are trusted', () => {
    const rows = [noise(128)];
    rows[0][5] = 1e7;
    const double = new Double();
    double.process(rows, rows);
    expect([double.nonFiniteInputs, rows[0][5]]).toEqual([1, 0]);
    rows[0][5] = 1e7;
    double.process(rows, rows, { trusted: true });
    expect([double.nonFiniteInputs, rows[0][5]]).toEqual([1, 2e7]);
  });

  it('knows no parameters unless told', () => {
    const double = new Double();
    expect(() => {
      double.set({ gainDb: 1 });
    }).toThrow(new TypeError('Double: gainDb is unknown; there are no parameters'));
    expect(() => {
      double.check({ gainDb: 1 });
    }).toThrow(TypeError);
    expect(() => {
      double.set({});
    }).not.toThrow();
  });
});
