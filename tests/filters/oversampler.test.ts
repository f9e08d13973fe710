import { describe, expect, it } from 'vitest';
import { Oversampler, type OversamplingFactor } from '../../src/filters/oversampler.ts';
import { bursts, firstDifference, impulse, largestDifference, noise, numbers } from '../support/signals.ts';

const FACTORS: readonly OversamplingFactor[] = [2, 4, 8, 16];

/** Runs a signal up and down in pieces, with a kernel between; `length` gives each piece's size. */
function upAndDown(
  oversampler: Oversampler,
  signal: Float64Array,
  kernel: (high: Float64Array, count: number) => void = () => undefined,
  length: () => number = () => 128,
): Float64Array {
  const output = signal.slice();
  const piece = new Float64Array(128);
  for (let at = 0; at < signal.length;) {
    const count = Math.min(length(), signal.length - at);
    piece.set(signal.subarray(at, at + count));
    kernel(oversampler.up(piece, count), count);
    oversampler.down(piece, count);
    output.set(piece.subarray(0, count), at);
    at += count;
  }
  return output;
}

/** |H| in dB at a frequency in cycles per sample, and the phase in excess of a delay, of an impulse response. */
function response(h: Float64Array, frequency: number, delay: number): { dB: number; phase: number } {
  let re = 0,
    im = 0;
  for (let n = 0; n < h.length; n++) {
    re += h[n] * Math.cos(2 * Math.PI * frequency * (n - delay));
    im -= h[n] * Math.sin(2 * Math.PI * frequency * (n - delay));
  }
  return { dB: 20 * Math.log10(Math.hypot(re, im)), phase: Math.atan2(im, re) };
}

describe('Oversampler', () => {
  for (const factor of FACTORS) {
    it(`up and down ${factor}x is a delay of exactly its whole latency, flat within 0.01 dB to 20/48`, () => {
      const oversampler = new Oversampler(factor);
      const { latencySamples } = oversampler;
      expect(Number.isInteger(latencySamples)).toBe(true);
      const h = upAndDown(oversampler, impulse(400));
      const frequencies = Array.from({ length: 401 }, (_, i) => ((20 / 48) * i) / 400);
      const worst = Math.max(...frequencies.map((f) => Math.abs(response(h, f, latencySamples).dB)));
      const bend = Math.max(...frequencies.map((f) => Math.abs(response(h, f, latencySamples).phase)));
      expect(worst).toBeLessThan(0.01);
      expect(bend).toBeLessThan(1e-9); // linear phase: nothing but the delay
    });

    it(`${factor}x: images of the band, and what stands above 28/48, are at least 100 dB down`, () => {
      const oversampler = new Oversampler(factor);
      const high: number[] = [];
      upAndDown(oversampler, impulse(400), (y, count) => {
        high.push(...y.subarray(0, count * factor));
      });
      const up = Float64Array.from(high);
      const inBand = response(up, 0, 0).dB;
      let image = -Infinity;
      for (let f = 28 / 48 / factor; f <= 0.5; f += 1 / 1024 / factor) image = Math.max(image, response(up, f, 0).dB);
      expect(image - inBand).toBeLessThanOrEqual(-100);

      // Down: a sine above the band, put in at the high rate, is gone at the base rate, wherever it would have folded to.
      const next = numbers(factor);
      for (let trial = 0; trial < 12; trial++) {
        const f = 28 / 48 + next() * (factor / 2 - 28 / 48);
        let n = 0;
        const left = upAndDown(new Oversampler(factor), new Float64Array(1024), (y, count) => {
          for (let i = 0; i < count * factor; i++) y[i] = Math.sin((2 * Math.PI * f * n++) / factor);
        });
        expect(largestDifference(left.subarray(256), new Float64Array(768))).toBeLessThan(1e-5);
      }
    });

    it(`${factor}x does not depend on how the signal is cut, and starts anew after a reset`, () => {
      const x = bursts(3000, factor);
      const oversampler = new Oversampler(factor);
      const whole = upAndDown(oversampler, x);
      oversampler.reset();
      const next = numbers(3);
      const cut = upAndDown(
        oversampler,
        x,
        () => undefined,
        () => 1 + Math.floor(next() * 128),
      );
      expect(firstDifference(cut, whole)).toBe(-1);
    });
  }

  it('leaves the signal alone at 1x', () => {
    const x = noise(500);
    expect(firstDifference(upAndDown(new Oversampler(1), x), x)).toBe(-1);
    expect(new Oversampler(1).latencySamples).toBe(0);
  });

  it('refuses other factors', () => {
    expect(() => new Oversampler(3 as OversamplingFactor)).toThrow(
      'Oversampler: factor must be 1, 2, 4, 8 or 16, got 3',
    );
  });

  it.each(FACTORS)('%ix is as new after a reset', (factor) => {
    const oversampler = new Oversampler(factor);
    const x = noise(300, 8);
    const first = upAndDown(oversampler, x);
    expect(firstDifference(upAndDown(oversampler, x), first)).not.toBe(-1);
    oversampler.reset();
    expect(firstDifference(upAndDown(oversampler, x), first)).toBe(-1);
  });
});
