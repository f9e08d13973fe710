import { describe, expect, it } from 'vitest';
import { Shell } from '../../src/core/shell.ts';
import type { SimdRows } from '../../src/core/simd-kernels.ts';
import { firstDifference, noise } from '../support/signals.ts';

/** The least that a processor is: it doubles its input. */
class Double extends Shell {
  rowsSeen = 0;

  constructor(rows?: SimdRows) {
    super('Double', { sampleRateHz: 48000, channels: 1 });
    this.workIn(rows);
    this.begin();
  }

  protected override advance(x: Float64Array[], count: number): void {
    this.rowsSeen = x.length;
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

  it('has SIMD rows take in and give back whole blocks of 128 samples, and nothing else', () => {
    const rows = [0, 1, 2].map(() => new Float64Array(128));
    const calls: string[] = [];
    const double = new Double({
      rows,
      load: (c, source) => {
        calls.push(`load ${c} ${source.length}`);
        rows[c].set(source);
        return true;
      },
      store: (c, target) => {
        calls.push(`store ${c} ${target.length}`);
        target.set(rows[c]);
        return true;
      },
    });
    const run = (length: number, end = length): string[] => {
      calls.length = 0;
      const x = Float32Array.from(noise(length, length)),
        y = new Float32Array(length);
      double.reset();
      double.process([x], [y], { end });
      const twice = x.map((v, i) => (i < end ? 2 * v : 0));
      expect(firstDifference(y, twice)).toBe(-1);
      return calls;
    };
    expect(run(128)).toEqual(['load 0 128', 'store 0 128']);
    expect([...run(300), ...run(100), ...run(128, 127)]).toEqual([]);
    expect(double.rowsSeen).toBe(1); // of a channel, not of the three that there are
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
