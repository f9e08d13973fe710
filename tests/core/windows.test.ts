import { describe, expect, it } from 'vitest';
import {
  besselI0,
  blackman,
  blackmanHarris,
  flatTop,
  hamming,
  hann,
  kaiser,
  rectangular,
  triangular,
} from '../../src/core/windows.ts';
import {
  highestSideLobeDb,
  LENGTH,
  PER_BIN,
  spectrumDb,
  windowsByName,
  windowTable,
} from '../support/window-figures.ts';
import { halfDigit, LAST_PLACE } from '../support/tolerances.ts';

describe('windows', () => {
  for (const [name, window] of Object.entries(windowsByName)) {
    it(`${name}: coherent gain, noise bandwidth, scallop loss and side lobe as published`, () => {
      const w = window(LENGTH, { periodic: true });
      const sum = w.reduce((a, x) => a + x, 0);
      const squares = w.reduce((a, x) => a + x * x, 0);
      const spectrum = spectrumDb(w);
      expect(Math.abs(sum / LENGTH - windowTable[name].coherent_gain)).toBeLessThan(halfDigit(5));
      expect(Math.abs((LENGTH * squares) / sum ** 2 - windowTable[name].ENBW_bins)).toBeLessThan(halfDigit(5));
      expect(Math.abs(-spectrum[PER_BIN / 2] - windowTable[name].scallop_loss_dB)).toBeLessThan(halfDigit(4));
      // The table's side lobes were searched on a grid of their own: two units of its last digit
      expect(Math.abs(highestSideLobeDb(spectrum) - windowTable[name].highest_sidelobe_dB)).toBeLessThan(0.02);
    });

    it(`${name}: reads the same from both ends, and the periodic form leaves out the last point`, () => {
      for (const length of [2, 3, 8, 129]) {
        const w = window(length);
        expect([...w].reverse()).toEqual([...w]);
        expect(window(length - 1, { periodic: true })).toEqual(w.subarray(0, length - 1));
      }
      expect([...window(1)]).toEqual([1]);
    });
  }

  it('hann is sin^2(pi n / D), triangular 1 - |2n / D - 1|', () => {
    for (const length of [16, 17, 1000]) {
      const d = length - 1;
      const worst = (w: Float64Array, f: (n: number) => number): number =>
        w.reduce((max, x, n) => Math.max(max, Math.abs(x - f(n))), 0);
      expect(worst(hann(length), (n) => Math.sin((Math.PI * n) / d) ** 2)).toBeLessThan(4 * LAST_PLACE);
      expect(worst(triangular(length), (n) => 1 - Math.abs((2 * n) / d - 1))).toBeLessThan(2 * LAST_PLACE);
    }
  });

  it('periodic hann adds up to a constant at half and quarter hops, its square to 1.5 at quarter hops', () => {
    const w = hann(1024, { periodic: true });
    let worst = 0;
    for (let n = 0; n < 256; n++) {
      const quarters = [w[n], w[n + 256], w[n + 512], w[n + 768]];
      const squares = quarters.reduce((sum, x) => sum + x * x, 0);
      worst = Math.max(
        worst,
        Math.abs(w[n] + w[n + 512] - 1),
        Math.abs(quarters.reduce((sum, x) => sum + x, 0) - 2),
        Math.abs(squares - 1.5),
      );
    }
    expect(worst).toBeLessThan(4 * LAST_PLACE);
  });

  it('kaiser is I0(beta sqrt(1 - r^2)) / I0(beta); beta 0 is rectangular', () => {
    const w = kaiser(33, 8);
    const expected = (n: number): number => besselIntegral(8 * Math.sqrt(1 - (n / 16 - 1) ** 2)) / besselIntegral(8);
    expect(w.reduce((max, x, n) => Math.max(max, Math.abs(x - expected(n))), 0)).toBeLessThan(8 * LAST_PLACE);
    expect(kaiser(9, 0)).toEqual(rectangular(9));
  });

  it('refuses lengths and shapes it cannot make', () => {
    expect(() => hann(0)).toThrow(new RangeError('hann: length must be 1 to 16777216, got 0'));
    expect(() => blackman(2.5)).toThrow(RangeError);
    for (const [name, window] of Object.entries({
      rectangular,
      triangular,
      hamming,
      blackman,
      blackmanHarris,
      flatTop,
    })) {
      expect(() => window(0)).toThrow(`${name}: length must be 1 to 16777216, got 0`);
      expect([...window(1)]).toEqual([1]);
    }
    expect(() => kaiser(0, 8)).toThrow('kaiser: length must be 1 to 16777216, got 0');
    expect(() => kaiser(8, -1)).toThrow(new RangeError('kaiser: beta must be 0 to 700, got -1'));
  });
});

/** I0(x) = 1/pi times the integral of e^(x cos t) over 0 ... pi; the trapezoidal rule converges geometrically. */
function besselIntegral(x: number): number {
  const steps = 400;
  let sum = (Math.exp(x) + Math.exp(-x)) / 2;
  for (let k = 1; k < steps; k++) sum += Math.exp(x * Math.cos((Math.PI * k) / steps));
  return sum / steps;
}

describe('besselI0', () => {
  it('agrees with its power series summed in 50 decimal digits', () => {
    const summed = [
      [1, 1.2660658777520083],
      [2, 2.2795853023360673],
      [5, 27.239871823604447],
      [10, 2815.7166284662544],
    ];
    for (const [x, value] of summed) expect(Math.abs(besselI0(x) / value - 1)).toBeLessThan(4 * LAST_PLACE);
  });

  it('agrees with its integral', () => {
    let worst = 0;
    for (let x = 0; x <= 30; x += 0.01) worst = Math.max(worst, Math.abs(besselI0(x) / besselIntegral(x) - 1));
    expect(worst).toBeLessThan(2e-14); // the integral's sum of 400 terms and its exp(x cos t) round, not the series
  });

  it('is 1 at 0 and even; NaN gives NaN, Infinity Infinity', () => {
    expect([besselI0(0), besselI0(-3), besselI0(NaN), besselI0(Infinity)]).toEqual([1, besselI0(3), NaN, Infinity]);
  });
});
