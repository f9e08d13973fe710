import { describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';
import { BleedReduction } from '../../src/hits/bleed-reduction.ts';
import { type BleedFilter, learnBleedFilter } from '../../src/hits/learn-bleed.ts';
import { solveHermitian } from '../../src/hits/hermitian-solve.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { firstDifference, largestDifference, noise, numbers, rms } from '../support/signals.ts';

const RATE = 48000;

/** A filter that takes the target's own microphone as it is. */
function idle(frameSize: number, channels: number, target: number): BleedFilter {
  const bins = frameSize / 2 + 1;
  const re = new Float64Array(bins * channels).map((_, i) => (i % channels === target ? 1 : 0));
  const weights = { re, im: new Float64Array(bins * channels) };
  return { frameSize, target, weights, drumFrames: 1, bleedFrames: 1, bleedDownDb: 0, drumChangeDb: -200 };
}

describe('bleed reduction', () => {
  it('at rest gives back the input, exactly one frame late', () => {
    const x = [noise(20_000, 1), noise(20_000, 2)];
    const [y, untouched] = render64(new BleedReduction({ sampleRateHz: RATE, channels: 2 }, [idle(2048, 2, 0)]), x);
    // Rounding of two transforms of 2048 values and of the windows.
    expect(largestDifference(y.subarray(2048), x[0].subarray(0, -2048))).toBeLessThan(1e-14);
    expect(firstDifference(untouched.slice(2048), x[1].slice(0, -2048))).toBe(-1);
  });

  it('takes out what another microphone explains, and leaves the drum', () => {
    // Two drums, two microphones: each hears its own, and the other's 8 dB lower and 30 samples late.
    const length = 4 * RATE,
      next = numbers(7);
    const blows = [0, 1].map((drum) => {
      const track = new Float64Array(length);
      const hits = Array.from({ length: 6 }, (_, i) => Math.round((0.15 + 0.31 * drum + 0.6 * i) * RATE));
      for (const hit of hits) {
        for (let n = hit; n < hit + RATE / 4; n++) track[n] += Math.exp(-(n - hit) / 1500) * (2 * next() - 1);
      }
      return { hits, track };
    });
    const late = (x: Float64Array) => x.map((_, n) => 0.4 * (x[n - 30] ?? 0));
    const stems = [blows[0].track, late(blows[0].track)],
      bleed = [late(blows[1].track), blows[1].track];
    const microphones = stems.map((x, m) => x.map((v, n) => v + bleed[m][n]));
    const filter = learnBleedFilter(RATE, microphones.map(sourceOf), 0, blows[0].hits, {
      soundingMs: 60,
      fadedMs: 250,
    });
    const through = (x: readonly Float64Array[]) =>
      render64(new BleedReduction({ sampleRateHz: RATE, channels: 2 }, [filter]), x)[0].subarray(2048);
    const dB = (ratio: number) => 20 * Math.log10(ratio);
    const drum = through(stems);
    const down = dB(rms(bleed[0]) / rms(through(bleed)));
    expect(down).toBeGreaterThan(20);
    const change = drum.map((v, n) => v - stems[0][n]);
    expect(dB(rms(stems[0]) / rms(change))).toBeGreaterThan(15);
    // What it tells of itself is what happens in each frame, where the ends of the filters stick out.
    expect(filter.bleedDownDb).toBeGreaterThan(20);
    expect(filter.bleedDownDb).toBeLessThan(down);
    expect(filter.drumChangeDb).toBeLessThan(-15);
  });

  it('refuses what does not fit', () => {
    const format = { sampleRateHz: RATE, channels: 2 };
    expect(() => new BleedReduction(format, [])).toThrow('filters must hold at least one filter');
    expect(() => new BleedReduction(format, [idle(2048, 3, 0)])).toThrow('filters[0] must be for 2 microphones');
    expect(() => new BleedReduction(format, [idle(512, 2, 0), idle(512, 2, 0)])).toThrow(
      'filters[1].target must have one filter, got a second for 0',
    );
    const silence = [new Float64Array(RATE), new Float64Array(RATE)].map(sourceOf);
    expect(() => learnBleedFilter(RATE, silence, 0, [])).toThrow(/stretches with and without the drum, got 0 and/);
    expect(() => learnBleedFilter(RATE, silence, 2, [])).toThrow('learnBleedFilter: target must be 0 to 1, got 2');
  });

  it('of silence is silence', () => {
    const silence = [new Float64Array(RATE), new Float64Array(RATE)];
    const filter = learnBleedFilter(RATE, silence.map(sourceOf), 0, [4000]);
    const [y] = render64(new BleedReduction({ sampleRateHz: RATE, channels: 2 }, [filter]), silence);
    expect(y.every((v) => v === 0)).toBe(true);
  });
});

describe('the solver', () => {
  it('gives x for A x, where A is Hermitian and positive definite', () => {
    const next = numbers(3),
      size = 5;
    const random = () => 2 * next() - 1;
    const b = Array.from({ length: size * size }, () => [random(), random()] as const);
    // A = B B^H
    const a = { re: new Float64Array(size * size), im: new Float64Array(size * size) };
    const x = Array.from({ length: size }, () => [random(), random()] as const);
    const y = { re: new Float64Array(size), im: new Float64Array(size) };
    for (let i = 0; i < size; i++) {
      for (let j = 0; j < size; j++) {
        for (let k = 0; k < size; k++) {
          const [p, q] = b[i * size + k],
            [r, s] = b[j * size + k];
          a.re[i * size + j] += p * r + q * s;
          a.im[i * size + j] += q * r - p * s;
        }
        y.re[i] += a.re[i * size + j] * x[j][0] - a.im[i * size + j] * x[j][1];
        y.im[i] += a.re[i * size + j] * x[j][1] + a.im[i * size + j] * x[j][0];
      }
    }
    expect(solveHermitian(a, y, size)).toBe(true);
    x.forEach(([re, im], i) => {
      expect(Math.abs(y.re[i] - re)).toBeLessThan(1e-9);
      expect(Math.abs(y.im[i] - im)).toBeLessThan(1e-9);
    });
    expect(solveHermitian({ re: Float64Array.of(-1), im: new Float64Array(1) }, y, 1)).toBe(false);
  });
});

describe('a BleedReduction', () => {
  const filter: BleedFilter = { ...idle(512, 2, 1), weights: { re: noise(514, 1), im: noise(514, 2) } };
  obeysProcessorLaws(
    { sampleRateHz: RATE, channels: 2 },
    {
      create: () => new BleedReduction({ sampleRateHz: RATE, channels: 2 }, [filter]),
      table: {},
      lively: {},
      runs: 6,
    },
  );
});
