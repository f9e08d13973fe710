/**
 * Published figures: S. P. Lipshitz, R. A. Wannamaker, J. Vanderkooy, "Quantization and Dither: A Theoretical Survey",
 * JAES 40(5), 1992. Errors are in steps q. Tolerances are 5 standard errors of the estimate from N samples: a mean
 * has 0.5/sqrt(N); the power at most 0.44/sqrt(N), at silence, where the error is -1, 0 or 1 (1/8, 3/4, 1/8); a
 * correlation 1/sqrt(N).
 */
import { describe, expect, it } from 'vitest';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { TriangularDither } from '../../src/wav/dither.ts';
import { encodeWav } from '../../src/wav/encode-wav.ts';

const sampleRateHz = 48_000;
const count = 400_000;
const fiveErrors = 5 / Math.sqrt(count);

/** Error in steps of a signal given in steps, through a 16-bit file. */
function errorOf(signal: Float64Array, options: { dither?: boolean; seed?: number } = {}): Float64Array {
  const [decoded] = decodeWav(encodeWav([signal.map((x) => x / 32_768)], { sampleRateHz, bitsPerSample: 16, ...options })).channels; // prettier-ignore
  return decoded.map((y, i) => y * 32_768 - signal[i]);
}

const mean = (x: Float64Array) => x.reduce((sum, v) => sum + v, 0) / x.length;
const power = (x: Float64Array) => x.reduce((sum, v) => sum + v * v, 0) / x.length;
/** Mean of the products of two signals, the second `lag` samples later. */
const product = (x: Float64Array, y: Float64Array, lag: number) => {
  let sum = 0;
  for (let i = 0; i + lag < x.length; i++) sum += x[i] * y[i + lag];
  return sum / (x.length - lag);
};
const off = (value: number, expected: number) => Math.abs(value - expected);

describe('TriangularDither', () => {
  it('is triangular: two steps wide, mean 0, variance q^2/6, three quarters within half a step', () => {
    const samples = new Float64Array(count);
    new TriangularDither(7).addTo(samples, count);
    expect(samples.reduce((a, b) => Math.max(a, Math.abs(b)), 0)).toBeLessThanOrEqual(1);
    expect(samples.reduce((a, b) => Math.max(a, Math.abs(b)), 0)).toBeGreaterThan(0.99);
    expect(off(mean(samples), 0)).toBeLessThan(0.41 * fiveErrors);
    expect(off(power(samples), 1 / 6)).toBeLessThan(0.2 * fiveErrors);
    // Area of the triangle between -q/2 and q/2.
    expect(off(samples.filter((d) => Math.abs(d) < 0.5).length / count, 0.75)).toBeLessThan(0.44 * fiveErrors);
  });
});

describe('16-bit files with dither', () => {
  const signals: [string, (i: number) => number][] = [
    ['silence', () => 0],
    ['a quarter of a step', () => 0.25],
    ['half a step', () => 0.5],
    ['a sine of one step', (i) => Math.sin(i * 0.0719)],
    ['a loud sine', (i) => 20_000 * Math.sin(i * 0.0719)],
  ];

  it.each(signals)('have an error of mean 0 and power q^2/4 for %s', (name, signal) => {
    const error = errorOf(Float64Array.from({ length: count }, (_, i) => signal(i)));
    console.log(`dither, ${name}: mean ${mean(error).toFixed(5)} q, power ${power(error).toFixed(5)} q^2`);
    expect(off(mean(error), 0)).toBeLessThan(0.5 * fiveErrors);
    expect(off(power(error), 0.25)).toBeLessThan(0.44 * fiveErrors);
  });

  it('have a white error without memory of the signal', () => {
    const signal = Float64Array.from({ length: count }, (_, i) => Math.sin(i * 0.0719));
    const error = errorOf(signal);
    for (const lag of [1, 2, 3, 87]) expect(off(product(error, error, lag) / 0.25, 0)).toBeLessThan(fiveErrors);
    expect(off(product(error, signal, 0), 0)).toBeLessThan(0.5 * Math.SQRT1_2 * fiveErrors);
  });

  it('have another noise in each channel', () => {
    const zeros = new Float64Array(count);
    const [left, right] = decodeWav(encodeWav([zeros, zeros], { sampleRateHz, bitsPerSample: 16 })).channels;
    for (const lag of [0, 1]) {
      expect(off((product(left, right, lag) * 2 ** 30) / 0.25, 0)).toBeLessThan(fiveErrors);
      expect(off((product(right, left, lag) * 2 ** 30) / 0.25, 0)).toBeLessThan(fiveErrors);
    }
  });

  it('reach 93.32 dB less the level below full scale; 98.09 dB without dither', () => {
    // 6.0206 x 16 + 1.761 dB, less 4.771 dB for the dither; a sine at half scale, to stay off the ends.
    const signal = Float64Array.from({ length: count }, (_, i) => 16_384 * Math.sin(i * 0.071_913));
    const snrDb = (error: Float64Array) => 10 * Math.log10(power(signal) / power(error)) + 20 * Math.log10(2);
    expect(off(snrDb(errorOf(signal)), 93.32)).toBeLessThan(0.05);
    expect(off(snrDb(errorOf(signal, { dither: false })), 98.09)).toBeLessThan(0.05);
  });
});

describe('dither options', () => {
  const silence = [new Float64Array(1000)];
  const hasNoise = (options: object) => decodeWav(encodeWav(silence, { sampleRateHz, ...options })).channels[0].some((x) => x !== 0); // prettier-ignore

  it('runs through silence, at 8, 16 and 24 bits unless told otherwise', () => {
    expect([8, 16, 24].map((bitsPerSample) => hasNoise({ bitsPerSample }))).toEqual([true, true, true]);
    expect(hasNoise({ bitsPerSample: 32 })).toBe(false);
    expect(hasNoise({ bitsPerSample: 32, dither: true })).toBe(true);
    expect(hasNoise({ dither: false })).toBe(false);
    expect(hasNoise({ encoding: 'float' })).toBe(false);
    expect(hasNoise({ encoding: 'float', dither: true })).toBe(false);
  });

  it('repeats with its seed and differs with another', () => {
    const bytes = (seed?: number) => Buffer.from(encodeWav(silence, { sampleRateHz, ...(seed === undefined ? {} : { seed }) })).toString('hex'); // prettier-ignore
    expect(bytes(5)).toBe(bytes(5));
    expect(bytes(5)).not.toBe(bytes(6));
    expect(bytes()).toBe(bytes(1));
  });

  it('without it half a step up and down is lost: the error follows the signal', () => {
    const error = errorOf(new Float64Array(1000).fill(0.25), { dither: false });
    expect(new Set(error)).toEqual(new Set([-0.25]));
  });
});
