import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Random } from '../../src/core/random.ts';
import { type SampleSource, sourceOf } from '../../src/core/sample-source.ts';
import { BandPowers, frameSizeAt } from '../../src/hits/band-powers.ts';
import { FirstRise } from '../../src/hits/first-rise.ts';
import { LaterRise } from '../../src/hits/later-rise.ts';
import { PeakPicker } from '../../src/hits/peak-picker.ts';
import { SpectralFlux } from '../../src/hits/spectral-flux.ts';

describe('band powers', () => {
  it('read 1.5 for a sine of amplitude 1 in the middle of a band, at any rate', () => {
    for (const sampleRateHz of [8000, 48000, 192000]) {
      const size = frameSizeAt(sampleRateHz);
      const bin = size / 16;
      const powers = new BandPowers(sampleRateHz, 20, 0.49 * sampleRateHz, 1);
      const into = new Float64Array(powers.count);
      const sine = Float64Array.from({ length: size }, (_, i) => Math.sin((2 * Math.PI * 1.5 * bin * i) / size));
      powers.measure(sine, 0, into);
      const band = into.indexOf(Math.max(...into));
      expect(into[band]).toBeCloseTo(1.5, 9); // |1|^2 + 2 |1/2|^2 of a Hann window
      expect(into.filter((_, b) => b !== band).every((power) => power < 1e-9)).toBe(true);
    }
  });

  it('take a frame of 512 samples at 48 kHz, and as long a time at other rates', () => {
    expect([8000, 44100, 48000, 96000, 192000].map(frameSizeAt)).toEqual([64, 512, 512, 1024, 2048]);
  });
});

describe('spectral flux', () => {
  const run = (x: Float64Array): number[] => {
    const flux = new SpectralFlux(48000, 60, 6000, -100);
    const values: number[] = [];
    for (let at = 0; at + flux.frameSize <= x.length; at += flux.hop) values.push(flux.next(x, at));
    return values;
  };
  const random = new Random(3);
  const noise = Float64Array.from({ length: 9600 }, () => 2 * random.next() - 1);

  it('is 0 for what stays and for what decays', () => {
    const tone = Float64Array.from({ length: 9600 }, (_, i) => Math.sin((2 * Math.PI * 375 * i) / 48000));
    expect(Math.max(...run(tone).slice(4))).toBeLessThan(1e-6); // a whole number of periods to a hop
    expect(Math.max(...run(tone.map((x, i) => x * 0.999 ** i)).slice(4))).toBeLessThan(1e-6);
  });

  it('is the rise in decibels, whatever the level', () => {
    const once = Float64Array.from({ length: 512 }, (_, i) => noise[i]);
    const flux = new SpectralFlux(48000, 60, 6000, -140);
    flux.next(once, 0);
    flux.next(once, 0);
    expect(
      flux.next(
        once.map((x) => 2 * x),
        0,
      ),
    ).toBeCloseTo(20 * Math.log10(2), 6);
    expect(
      flux.next(
        once.map((x) => 2 * x),
        0,
      ),
    ).toBeCloseTo(20 * Math.log10(2), 6); // spans two frames
    expect(
      flux.next(
        once.map((x) => 2 * x),
        0,
      ),
    ).toBe(0);
  });
});

describe('the peak picker', () => {
  const naive = (v: readonly number[], apart: number, before: number, after: number, delta: number): number[] =>
    v.flatMap((value, n) => {
      const at = (m: number) => v[m] ?? 0;
      const span = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i);
      const around = span(n - apart, n + apart).filter((m) => m !== n);
      const mean = span(n - before, n + after).reduce((sum, m) => sum + at(m), 0) / (before + 1 + after);
      const highest = around.every((m) => at(m) < value || (at(m) === value && m > n));
      return highest && value >= mean + delta && value >= delta ? [n] : [];
    });

  it('agrees with its rule applied to the whole function', () => {
    const small = fc.integer({ min: 1, max: 6 });
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 8 })), small, small, small, small, (values, a, b, c, delta) => {
        const lag = Math.max(a, c) + (b % 3);
        const picker = new PeakPicker({ apart: a, meanBefore: b, meanAfter: c, delta, lag });
        const found = [...values, ...Array.from({ length: lag }, () => 0)].flatMap((value, n) => {
          const peak = picker.next(value);
          expect([0, values[n - lag]]).toContain(peak);
          return peak > 0 ? [n - lag] : [];
        });
        expect(found).toEqual(naive(values, a, b, c, delta));
      }),
    );
  });
});

describe('the first rise', () => {
  const finder = new FirstRise(48000);
  const at = 1000;
  const step = (before: number, after: number, seed: number): Float64Array => {
    const random = new Random(seed);
    return Float64Array.from({ length: 2000 }, (_, i) => (i < at ? before : after) * (2 * random.next() - 1));
  };

  it('is where the variance changes, within 3 samples in nine of ten cases', () => {
    const errors = Array.from({ length: 40 }, (_, seed) =>
      Math.abs(finder.find(step(0.01, 0.5, seed), at + 60 - 3 * seed).index - at),
    );
    expect(errors.sort((a, b) => a - b)[35]).toBeLessThan(3);
  });

  it('is the loud beginning, not a soft one 5 ms before it, although that rises farther', () => {
    const x = step(1e-5, 0.5, 5);
    const random = new Random(6);
    for (let i = at - 240; i < at; i++) x[i] += 0.06 * (2 * random.next() - 1); // -18 dB
    expect(Math.abs(finder.find(x, at - 50).index - at)).toBeLessThan(6);
  });

  it('has a fraction', () => {
    expect(finder.find(step(0.01, 0.5, 1), at).index % 1).not.toBe(0);
  });

  it('tells by how many decibels', () => {
    const rises = Array.from({ length: 40 }, (_, seed) => finder.find(step(0.05, 0.5, seed), at).riseDb);
    expect(rises.reduce((sum, rise) => sum + rise, 0) / rises.length).toBeCloseTo(20, 0); // a tenfold amplitude
  });
});

describe('the later rise', () => {
  const later = new LaterRise(48000);
  const at = 1000;
  /** Noise that is there from `at` on, and `riseDb` louder from `gap` samples later on. */
  const two = (gap: number, riseDb: number): SampleSource => {
    const random = new Random(gap);
    const level = (i: number) => (i < at ? 1e-5 : i < at + gap ? 0.05 : 0.05 * 10 ** (riseDb / 20));
    return sourceOf(Float64Array.from({ length: 4000 }, (_, i) => level(i) * (2 * random.next() - 1)));
  };

  it('is where it grows by 12 dB, up to 12 ms later', () => {
    const errors = [60, 120, 240, 360, 440, 580].map((gap) => later.find(two(gap, 12), at) - (at + gap));
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(12);
  });

  it('is none where it grows by 2 dB, or by 12 dB but 13 ms later, or in silence', () => {
    for (const gap of [60, 120, 240, 360, 440]) expect(later.find(two(gap, 2), at)).toBe(at);
    expect(later.find(two(624, 12), at)).toBe(at);
    expect(later.find(sourceOf(new Float64Array(4000)), at)).toBe(at);
    expect(later.find(sourceOf(new Float64Array(10)), 2)).toBe(2);
  });

  it('is none where the next hit begins', () => {
    expect(later.find(two(240, 12), at, at + 240)).toBe(at);
    expect(Math.abs(later.find(two(240, 12), at, at + 480) - (at + 240))).toBeLessThan(12);
  });

  it('is found beside a sample that is not finite, which counts as 0', () => {
    const x = new Float64Array(4000);
    two(240, 12).read(0, x);
    const damaged = x.slice();
    x[at + 100] = 0;
    damaged[at + 100] = NaN;
    expect(later.find(sourceOf(damaged), at)).toBe(later.find(sourceOf(x), at));
    expect(later.find(sourceOf(damaged), at)).toBeGreaterThan(at + 200);
  });
});
