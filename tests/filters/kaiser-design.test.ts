import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { firResponse } from '../../src/filters/fir-response.ts';
import { halfBandTaps, kaiserBeta, kaiserOrder, lowpassTaps, windowedSinc } from '../../src/filters/kaiser-design.ts';
import vectors from '../vectors/halfband.json' with { type: 'json' };

const worst = (errors: number[]): number => errors.reduce((max, error) => Math.max(max, Math.abs(error)), 0);
/** Levels at frequencies in cycles per sample. */
const levels = (taps: Float64Array, frequenciesHz: number[]): number[] => [
  ...firResponse(taps, { sampleRateHz: 1, frequenciesHz }).magnitudeDb,
];
const grid = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count + 1 }, (_, i) => from + ((to - from) * i) / count);
const lengths = fc.integer({ min: 1, max: 40 }).map((k) => 4 * k - 1);
const betas = fc.double({ min: 0, max: 14, noNaN: true });

describe('kaiserBeta', () => {
  it('equals scipy.signal.kaiser_beta 1.10.1 from 30 to 120 dB', () => {
    const table = Object.entries(vectors.kaiser_beta);
    expect(table).toHaveLength(10);
    expect(worst(table.map(([a, beta]) => kaiserBeta(Number(a)) - beta))).toBeLessThan(1e-9); // 9 decimals printed
  });

  it('is 0 below 21 dB and takes the lower branch at exactly 50 dB', () => {
    expect([kaiserBeta(0), kaiserBeta(20.9), kaiserBeta(21)]).toEqual([0, 0, 0]);
    expect(Math.abs(kaiserBeta(50) - 4.533514)).toBeLessThan(1e-6);
    expect(Math.abs(kaiserBeta(50 + 1e-9) - 4.55126)).toBeLessThan(1e-6); // 0.1102 * 41.3
  });

  it('refuses what no filter reaches', () => {
    expect(() => kaiserBeta(301)).toThrow(new RangeError('kaiserBeta: attenuationDb must be 0 to 300, got 301'));
  });
});

describe('kaiserOrder', () => {
  // scipy.signal.kaiserord: number of taps, the order + 1, for a width of 0.1 of half the sample rate.
  it.each([
    [60, 74],
    [80, 102],
    [100, 130],
  ])('for %i dB and a transition of 0.1 pi gives %i taps', (attenuationDb, taps) => {
    expect(kaiserOrder(attenuationDb, 0.1 * Math.PI) + 1).toBe(taps);
  });

  it('refuses attenuations without a formula and widths beyond the circle', () => {
    expect(() => kaiserOrder(7, 1)).toThrow(new RangeError('kaiserOrder: attenuationDb must be 8 to 300, got 7'));
    expect(() => kaiserOrder(60, 0)).toThrow(RangeError);
    expect(() => kaiserOrder(60, 4)).toThrow('kaiserOrder: transitionRadians must be 0.000001 to 3.14159');
  });
});

describe('halfBandTaps', () => {
  // Taps printed with 12 digits; figures measured on a grid of 1/65536 and 1/4096 by scipy 1.10.1.
  it.each(vectors.filters)('length $N, beta $beta: taps, sum, edges', (filter) => {
    const taps = halfBandTaps({ length: filter.N, beta: filter.beta });
    if (filter.taps) expect(worst(filter.taps.map((tap, n) => tap - taps[n]))).toBeLessThan(1e-12);
    expect(Math.abs(taps.reduce((sum, tap) => sum + tap) - filter.dc_sum)).toBeLessThan(1e-9);
    const frequencies = grid(0, 0.5, 16384);
    const response = levels(taps, frequencies);
    const firstBelow = (level: number): number => frequencies[response.findIndex((x) => x < level)];
    expect(Math.abs(firstBelow(-60) - filter.first_f_below_minus60_minus80[0])).toBeLessThan(1 / 8000);
    expect(Math.abs(firstBelow(-80) - filter.first_f_below_minus60_minus80[1])).toBeLessThan(1 / 8000);
    expect(Math.abs(firstBelow(-0.01) - filter.first_f_below_minus0p01dB)).toBeLessThan(1 / 8000);
  });

  it('is exactly 0.5 in the middle, exactly 0 at every other even distance, and symmetric to the last bit', () => {
    fc.assert(
      fc.property(lengths, betas, (length, beta) => {
        const taps = halfBandTaps({ length, beta });
        const middle = (length - 1) / 2;
        expect(taps[middle]).toBe(0.5);
        expect([...taps].filter((tap, n) => n !== middle && (n - middle) % 2 === 0 && tap !== 0)).toEqual([]);
        expect([...taps].filter((tap) => tap !== 0)).toHaveLength(middle + 2); // no odd tap is lost
        expect([...taps].reverse()).toEqual([...taps]);
      }),
    );
  });

  it('has H(f) + H(1/2 - f) = 1, hence 0.5 at a quarter of the sample rate', () => {
    fc.assert(
      fc.property(lengths, betas, fc.double({ min: 0, max: 0.5, noNaN: true }), (length, beta, f) => {
        const taps = halfBandTaps({ length, beta });
        // zero-phase response: the sum of cosines about the middle
        const real = (x: number): number =>
          taps.reduce((sum, tap, n) => sum + tap * Math.cos(2 * Math.PI * x * (n - (length - 1) / 2)), 0);
        expect(Math.abs(real(f) + real(0.5 - f) - 1)).toBeLessThan(1e-13);
        expect(Math.abs(real(0.25) - 0.5)).toBeLessThan(1e-14);
      }),
    );
  });

  it('delays every frequency of the pass band by (length - 1) / 2 samples', () => {
    const taps = halfBandTaps({ length: 63, beta: 9 });
    const { groupDelaySamples } = firResponse(taps, { sampleRateHz: 48000, frequenciesHz: grid(0, 10000, 50) });
    expect(worst([...groupDelaySamples].map((delay) => delay - 31))).toBeLessThan(1e-12);
  });

  it('refuses lengths other than 4k - 1', () => {
    const make =
      (length: number, beta = 8) =>
      () =>
        halfBandTaps({ length, beta });
    expect(make(33)).toThrow(new RangeError('halfBandTaps: length must be 4k - 1 (3, 7, 11, ...), got 33'));
    expect(make(1)).toThrow(new RangeError('halfBandTaps: length must be 3 to 4095, got 1'));
    expect(make(7.5)).toThrow(new RangeError('halfBandTaps: length must be a whole number from 3 to 4095, got 7.5'));
    expect(make(7, -1)).toThrow(new RangeError('halfBandTaps: beta must be 0 to 50, got -1'));
  });
});

describe('lowpassTaps', () => {
  // Length and loudest level of the stop band by scipy.signal.kaiserord and firwin 1.17.1, on the same 4001 frequencies.
  // Kaiser's formulas are fits: at 120 dB they fall 1.2 dB short.
  it.each([
    [60, 0.1, 122, -59.701976],
    [80, 0.2, 169, -79.35725],
    [100, 0.3, 215, -100.106176],
    [120, 0.05, 262, -118.844053],
  ])('for %i dB, cut off at %f, has as many taps and the stop band of scipy', (a, cutoff, length, loudest) => {
    const width = 0.03; // cycles per sample
    expect(kaiserOrder(a, 2 * Math.PI * width) + 1).toBe(length);
    const taps = lowpassTaps({ length, cutoffCyclesPerSample: cutoff, beta: kaiserBeta(a) });
    const stop = levels(taps, grid(cutoff + width / 2, 0.5, 4000));
    expect(Math.abs(Math.max(...stop) - loudest)).toBeLessThan(2e-6);
    const pass = levels(taps, grid(0, cutoff - width / 2, 1000));
    const ripple = 10 ** (loudest / 20); // the same in both bands, and doubled by the scaling at DC
    expect(worst(pass.map((level) => 10 ** (level / 20) - 1))).toBeLessThan(2 * ripple);
    expect(Math.abs(levels(taps, [cutoff])[0] - 20 * Math.log10(0.5))).toBeLessThan(0.02);
  });

  it('is symmetric and has gain 1 at DC, for odd and even lengths', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 200 }),
        betas,
        fc.double({ min: 0.01, max: 0.5, noNaN: true }),
        (n, b, f) => {
          const taps = lowpassTaps({ length: n, cutoffCyclesPerSample: f, beta: b });
          expect([...taps].reverse()).toEqual([...taps]);
          expect(Math.abs(taps.reduce((sum, tap) => sum + tap) - 1)).toBeLessThan(1e-13);
        },
      ),
    );
  });

  it('is of a windowed sinc, which refuses by name', () => {
    const make = (options: object) => () =>
      windowedSinc({ cutoffCyclesPerSample: 0.2, halfWidthSamples: 4, beta: 8, ...options });
    expect(make({ cutoffCyclesPerSample: 0.6 })).toThrow(
      /^windowedSinc: cutoffCyclesPerSample must be .* to 0\.5, got 0\.6/,
    );
    expect(make({ beta: 51 })).toThrow('windowedSinc: beta must be 0 to 50, got 51');
  });

  it('refuses by name', () => {
    const make = (options: object) => () => lowpassTaps({ length: 9, cutoffCyclesPerSample: 0.2, beta: 8, ...options });
    expect(make({ length: 1 })).toThrow(new RangeError('lowpassTaps: length must be 2 to 1000000, got 1'));
    expect(make({ cutoffCyclesPerSample: 0.6 })).toThrow(RangeError);
    expect(make({ beta: 51 })).toThrow(RangeError);
  });
});

describe('windowedSinc', () => {
  it('with the cut-off at half the sample rate is exactly an impulse on whole samples', () => {
    const kernel = windowedSinc({ cutoffCyclesPerSample: 0.5, halfWidthSamples: 48, beta: 12 });
    expect(grid(-50, 50, 100).map(kernel)).toEqual(grid(-50, 50, 100).map((t) => (t === 0 ? 1 : 0)));
  });

  it('equals sinc times Kaiser window, the Bessel function taken from its integral', () => {
    // I0(x) = (1/pi) integral of exp(x cos t) over 0 to pi; the midpoint rule converges faster than any power.
    const besselI0 = (x: number): number =>
      grid(0.5, 63.5, 63).reduce((sum, i) => sum + Math.exp(x * Math.cos((Math.PI * i) / 64)), 0) / 64;
    const [fc_, reach, beta] = [0.21, 16, 9];
    const kernel = windowedSinc({ cutoffCyclesPerSample: fc_, halfWidthSamples: reach, beta });
    const errors = grid(-15.9, 15.9, 333).map((t) => {
      const x = Math.PI * 2 * fc_ * t;
      const window = besselI0(beta * Math.sqrt(1 - (t / reach) ** 2)) / besselI0(beta);
      return kernel(t) - 2 * fc_ * (x === 0 ? 1 : Math.sin(x) / x) * window;
    });
    expect(worst(errors)).toBeLessThan(1e-15);
    expect([kernel(-16.001), kernel(16.001)]).toEqual([0, 0]);
  });

  it('sampled about the middle of a half-band filter gives its taps', () => {
    const kernel = windowedSinc({ cutoffCyclesPerSample: 0.25, halfWidthSamples: 23, beta: 8 });
    const taps = halfBandTaps({ length: 47, beta: 8 });
    expect(worst([...taps].map((tap, n) => tap - kernel(n - 23)))).toBeLessThan(1e-15);
  });

  it('refuses a kernel without width', () => {
    const make = (options: object) => () =>
      windowedSinc({ cutoffCyclesPerSample: 0.5, halfWidthSamples: 8, beta: 8, ...options });
    expect(make({ halfWidthSamples: 0 })).toThrow(
      new RangeError('windowedSinc: halfWidthSamples must be 0.5 to 1000000, got 0'),
    );
    expect(make({ cutoffCyclesPerSample: 0 })).toThrow(RangeError);
    expect(make({ beta: NaN })).toThrow(RangeError);
  });
});
