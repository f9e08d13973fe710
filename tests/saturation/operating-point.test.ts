import { describe, expect, it } from 'vitest';
import { levelMatchGain, operatingPoint, shapedAt } from '../../src/saturation/operating-point.ts';
import { saturationCurves } from '../../src/saturation/saturation-curves.ts';
import { plainCurves } from './reference-curves.ts';

const names = Object.keys(saturationCurves) as (keyof typeof saturationCurves)[];

describe.each(names)('the curve %s at an operating point', (name) => {
  const curve = saturationCurves[name],
    f = plainCurves[name];
  const slope = (b: number): number => (f(b + 1e-5) - f(b - 1e-5)) / 2e-5;

  it('is (odd + e even) / slope: nothing at 0, and of slope 1 there', () => {
    for (const b of [0, 0.3, -0.7]) {
      for (const e of [0, 0.4, 1, 2]) {
        const point = operatingPoint(curve, b, e);
        for (const u of [-3, -0.5, 0, 0.2, 1.7]) {
          const odd = (f(b + u) - f(b - u)) / 2,
            even = (f(b + u) + f(b - u)) / 2 - f(b);
          // At 0 the slope of the uneven curve is the same from both sides, its bend is not: 1e-5 of difference.
          expect(Math.abs(shapedAt(curve, point, u) - (odd + e * even) / slope(b))).toBeLessThan(1e-5);
        }
        expect(Math.abs(shapedAt(curve, point, 0))).toBeLessThan(1e-15);
        expect((shapedAt(curve, point, 1e-4) - shapedAt(curve, point, -1e-4)) / 2e-4).toBeCloseTo(1, 4);
      }
    }
  });

  it('keeps with its gain the power of hits in which time doubles every 4.5 dB down, over 36 dB', () => {
    for (const [b, e, drive, peak] of [
      [0, 1, 2, 1],
      [0.3, 0.5, 3, 0.5],
      [-0.2, 0, 0.5, 0.25],
    ]) {
      const point = operatingPoint(curve, b, e);
      let before = 0,
        after = 0;
      for (let down = 0; down < 36; down += 1.5) {
        const a = peak * 10 ** (-down / 20),
          time = 2 ** (down / 4.5);
        const cycle = Array.from({ length: 1024 }, (_, i) =>
          shapedAt(curve, point, drive * a * Math.sin((2 * Math.PI * (i + 0.5)) / 1024)),
        );
        const mean = cycle.reduce((sum, y) => sum + y, 0) / 1024;
        before += (time * a * a) / 2;
        after += (time * cycle.reduce((sum, y) => sum + (y - mean) ** 2, 0)) / 1024;
      }
      const gain = levelMatchGain(curve, point, drive, peak);
      expect(Math.abs(20 * Math.log10(gain / Math.sqrt(before / after)))).toBeLessThan(1e-3);
    }
  });
});
