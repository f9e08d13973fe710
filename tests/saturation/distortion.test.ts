import { describe, expect, it } from 'vitest';
import { Gain } from '../../src/core/gain.ts';
import { cubicClip, hardClip, tanhClip } from '../../src/saturation/curves.ts';
import { measureHarmonics, measureIntermodulation, totalHarmonicDistortion } from '../../src/saturation/distortion.ts';
import { HardClipper } from '../../src/saturation/hard-clipper.ts';
import { SoftClipper } from '../../src/saturation/soft-clipper.ts';
import nonlinear from '../vectors/nonlinear.json';

const mono = { sampleRateHz: 48000, channels: 1 };

describe('harmonics', () => {
  // Sine coefficients and THD from vectors/nonlinear.json: closed form for the hard curve, numerical for tanh.
  it('of curves are those of the published tables', () => {
    for (const [curve, rows] of [
      [hardClip, nonlinear.hard_clip.slice(-4)],
      [tanhClip, nonlinear.tanh.slice(-4)],
    ] as const) {
      for (const { drive, sine_coeffs_n1357, THD_all_harmonics } of rows) {
        const found = measureHarmonics(curve, { levelDb: 20 * Math.log10(drive), count: 1000 });
        sine_coeffs_n1357.forEach((b, i) => expect(found[2 * i + 1]).toBeCloseTo(Math.abs(b), 8));
        expect(found[2]).toBeLessThan(1e-9);
        // The hard curve's harmonics beyond the 1000th have 1e-5 of the amplitude.
        expect(totalHarmonicDistortion(found)).toBeCloseTo(THD_all_harmonics, 5);
      }
    }
  });

  it('of the cubic have THD A^2 / (12 - 3 A^2)', () => {
    for (const { drive, THD } of nonlinear.cubic) {
      const found = measureHarmonics(cubicClip, { levelDb: 20 * Math.log10(1.5 * drive) });
      expect(totalHarmonicDistortion(found)).toBeCloseTo(THD, 9);
    }
  });

  it('of a processor are those of its curve; a gain has none', () => {
    const found = measureHarmonics(new SoftClipper(mono, { driveDb: 6 }), { frequencyHz: 500 });
    const curve = measureHarmonics(tanhClip, { levelDb: 6 });
    for (const n of [1, 3, 5, 7]) expect(Math.abs(20 * Math.log10(found[n] / curve[n]))).toBeLessThan(0.01);
    expect(totalHarmonicDistortion(measureHarmonics(new Gain(mono, { gainDb: -3 })))).toBeLessThan(1e-12);
  });

  it('count a DC once: x^2 of a sine of amplitude A has A^2 / 2, and A^2 / 2 at twice its frequency', () => {
    const found = measureHarmonics((x) => x * x, { levelDb: -6, count: 3 });
    const power = 10 ** (-6 / 10);
    expect(found[0]).toBeCloseTo(power / 2, 12);
    expect(found[2]).toBeCloseTo(power / 2, 12);
    expect(found[1] + found[3]).toBeLessThan(1e-12);
  });

  it('above half the sample rate are 0', () => {
    expect(measureHarmonics(new Gain(mono), { frequencyHz: 12_000, count: 5 })[5]).toBe(0);
  });
});

describe('intermodulation', () => {
  it('of x + a x^2 + b x^3 is what the products of sines say', () => {
    // L sin + H sin: a 2 L H sin sin gives a L H at fh +- fl each; b 3 L^2 H sin^2 sin gives 3/4 b L^2 H at fh +- 2 fl.
    const [a, b, low, high] = [0.1, 0.05, 0.8, 0.2];
    const { second, third } = measureIntermodulation((x) => x + a * x ** 2 + b * x ** 3);
    const carrier = high + b * (0.75 * high ** 3 + 1.5 * low ** 2 * high);
    expect(second).toBeCloseTo((2 * a * low * high) / carrier, 10);
    expect(third).toBeCloseTo((1.5 * b * low ** 2 * high) / carrier, 10);
  });

  it('takes the lines on both sides, of which a slope behind the curve lowers one and lifts the other', () => {
    const curve = (x: number): number => x + 0.1 * x ** 2 + 0.05 * x ** 3;
    let before = 0;
    const sloped = measureIntermodulation((x) => {
      const difference = curve(x) - before; // lifts the line n over the line m by n / m
      before += difference;
      return difference;
    });
    const level = measureIntermodulation(curve);
    // Two lines of one side would be off by 1 or 2 of 117 cycles. The first sample has none before it: a click, of 0.2 %.
    expect(Math.abs(sloped.second / level.second - 1)).toBeLessThan(0.002);
    expect(Math.abs(sloped.third / level.third - 1)).toBeLessThan(0.002);
  });

  it('of a processor is that of its curve', () => {
    const processor = measureIntermodulation(new SoftClipper(mono, { driveDb: 0 }));
    const curve = measureIntermodulation(tanhClip);
    expect(processor.second).toBeLessThan(1e-6);
    expect(Math.abs(processor.third / curve.third - 1)).toBeLessThan(1e-3);
  });

  it('refuses tones that cannot be told apart', () => {
    expect(() => measureIntermodulation(tanhClip, { lowHz: 1000 })).toThrow(
      'measureIntermodulation: lowHz must be 20 to 350, got 1000',
    );
    const clipper = new HardClipper({ sampleRateHz: 48000, channels: 1 });
    expect(() => measureIntermodulation(clipper, { highHz: 12_001 })).toThrow(
      'measureIntermodulation: highHz must be 20 to 12000, got 12001',
    );
    expect(() => measureIntermodulation(clipper, { lowHz: 13_000, highHz: 300_000 })).toThrow(
      'measureIntermodulation: lowHz must be 20 to 12000, got 13000',
    );
    expect(() => measureIntermodulation(tanhClip, { levelDb: 61 })).toThrow(/^measureIntermodulation: levelDb must be/);
    expect(() => measureIntermodulation(tanhClip, { ratioDb: 41 })).toThrow(/^measureIntermodulation: ratioDb must be/);
    expect(() => measureHarmonics(tanhClip, { levelDb: 61 })).toThrow(/^measureHarmonics: levelDb must be -120 to 60/);
    expect(() => measureHarmonics(tanhClip, { count: 0 })).toThrow(/^measureHarmonics: count must be/);
    expect(() => measureHarmonics(clipper, { frequencyHz: 12_001 })).toThrow(
      'measureHarmonics: frequencyHz must be 20 to 12000, got 12001',
    );
  });
});
