/** Blocks that turn phases and leave levels: the phase rotator, and the mono sum of what lies below a frequency. */
import { describe, expect, it } from 'vitest';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { allpass } from '../../src/filters/biquad-design.ts';
import { linkwitzRiley } from '../../src/filters/crossover.ts';
import { firstOrderAllpass } from '../../src/filters/first-order-design.ts';
import { MonoBelow, monoBelowParameters } from '../../src/filters/mono-below.ts';
import { PhaseRotator, phaseRotatorParameters } from '../../src/filters/phase-rotator.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { constant, impulse, largestDifference, noise, peak, sine } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const RATES = [22_050, 44_100, 48_000, 96_000, 192_000];

/** Value of a response at a frequency, by its definition. */
function responseAt(h: Float64Array, frequencyHz: number, sampleRateHz: number): { db: number; turns: number } {
  let re = 0,
    im = 0;
  for (let n = 0; n < h.length; n++) {
    const angle = (2 * Math.PI * frequencyHz * n) / sampleRateHz;
    re += h[n] * Math.cos(angle);
    im -= h[n] * Math.sin(angle);
  }
  return { db: 20 * Math.log10(Math.hypot(re, im)), turns: Math.atan2(im, re) / (2 * Math.PI) };
}

describe('PhaseRotator', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new PhaseRotator(stereo, o),
    table: phaseRotatorParameters,
    lively: { frequencyHz: 2000, order: 5 },
    runs: 5,
    length: 2000,
  });

  it.each(RATES)('leaves every level and turns by order / 4 at its frequency, at %i Hz', (sampleRateHz) => {
    for (const order of [1, 2, 3, 4, 7, 16]) {
      const rotator = new PhaseRotator({ sampleRateHz, channels: 1 }, { frequencyHz: 250, order });
      const [h] = render64(rotator, [impulse(Math.round(sampleRateHz / 4))]);
      for (const f of [20, 100, 250, 1000, 4000, 10_000]) {
        expect(Math.abs(responseAt(h, f, sampleRateHz).db)).toBeLessThan(1e-6);
      }
      const { turns } = responseAt(h, 250, sampleRateHz);
      const away = turns + order / 4;
      expect(Math.abs(away - Math.round(away))).toBeLessThan(1e-6);
    }
  });

  it('turns as the analog all-pass of first order does: -2 atan(f / fc), frequencies warped', () => {
    const [h] = render64(new PhaseRotator(mono, { frequencyHz: 500, order: 1 }), [impulse(9600)]);
    for (const f of [50, 500, 3000]) {
      const x = Math.tan((Math.PI * f) / 48_000) / Math.tan((Math.PI * 500) / 48_000);
      expect(responseAt(h, f, 48_000).turns).toBeCloseTo(-Math.atan(x) / Math.PI, 9);
    }
    const section = firstOrderAllpass({ sampleRateHz: 48_000, frequencyHz: 500 });
    expect(Math.abs(section.b0 - section.a1) + Math.abs(section.b1 - 1)).toBeLessThan(1e-15);
  });

  it.each([{ q: 3 }, { frequencyHz: 900 }, { q: 3, frequencyHz: 900 }])(
    'once set to %j, is what it would be new',
    (change) => {
      const options = { frequencyHz: 250, q: 0.5, order: 2 };
      const rotator = new PhaseRotator(mono, options);
      rotator.set(change);
      render64(rotator, [new Float64Array(4800)]); // until the change has faded in
      const h = [impulse(2000)];
      const [wanted] = render64(new PhaseRotator(mono, { ...options, ...change }), h);
      expect(largestDifference(render64(rotator, h)[0], wanted)).toBeLessThan(1e-12);
    },
  );

  it('lowers the peak of a wave whose peaks stand on one side', () => {
    // Harmonics in phase: the sharpest wave of its spectrum.
    const x = Float64Array.from({ length: 48_000 }, (_, n) =>
      [1, 2, 3, 4, 5, 6].reduce((sum, k) => sum + Math.cos((2 * Math.PI * 60 * k * n) / 48_000) / 6, 0),
    );
    const [y] = render64(new PhaseRotator(mono, { frequencyHz: 150, order: 4 }), [x]);
    expect(peak(y.subarray(24_000))).toBeLessThan(0.8 * peak(x));
  });
});

describe('MonoBelow', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new MonoBelow(stereo, o),
    table: monoBelowParameters,
    lively: { frequencyHz: 1000 },
    runs: 5,
    length: 2000,
  });

  it.each(RATES)('keeps the sum of the channels: its all-pass, flat within 0.001 dB, at %i Hz', (sampleRateHz) => {
    const format = { sampleRateHz, channels: 2 };
    const length = Math.round(sampleRateHz / 4);
    const [left, right] = render64(new MonoBelow(format), [impulse(length), constant(0, length)]);
    const sum = left.map((v, i) => v + right[i]);
    for (const f of [20, 60, 120, 500, 4000, 10_000]) {
      expect(Math.abs(responseAt(sum, f, sampleRateHz).db)).toBeLessThan(0.001);
    }
    const [wanted] = render64(
      new BiquadCascade({ ...format, channels: 1 }, [allpass({ sampleRateHz, frequencyHz: 120 })]),
      [impulse(length)],
    );
    expect(largestDifference(sum, wanted)).toBeLessThan(1e-12);
  });

  it('has the longer tail of its all-pass and its high-pass', () => {
    const cascade = (sections: Parameters<BiquadCascade['setSections']>[0]) =>
      new BiquadCascade(mono, sections).tailSamples;
    const corner = { sampleRateHz: 48_000, frequencyHz: 120, order: 4 };
    const tails = [cascade([allpass(corner)]), cascade(linkwitzRiley(corner).highpass)];
    expect(tails[0]).not.toBe(tails[1]);
    expect(new MonoBelow(stereo).tailSamples).toBe(Math.max(...tails));
  });

  it('makes lows alike and leaves the width of highs', () => {
    const width = (frequencyHz: number) => {
      const x = sine(48_000, frequencyHz, 48_000);
      const [left, right] = render64(new MonoBelow(stereo, { frequencyHz: 200 }), [x, x.map((v) => -v)]);
      const side = left.map((v, i) => (v - right[i]) / 2);
      return 20 * Math.log10(peak(side.subarray(24_000)));
    };
    // The side is the Linkwitz-Riley high-pass: |H| = x^4 / (1 + x^4).
    expect(width(200)).toBeCloseTo(-6.0206, 3);
    expect(Math.abs(width(50) + 20 * Math.log10(1 + 4 ** 4))).toBeLessThan(0.05);
    expect(Math.abs(width(2000))).toBeLessThan(0.01);
  });

  it('leaves a mono signal alike in both channels, its all-pass, and takes two channels only', () => {
    const x = noise(2000, 5);
    const [left, right] = render64(new MonoBelow(stereo), [x, x]);
    expect(largestDifference(left, right)).toBe(0);
    const turned = new BiquadCascade(mono, [allpass({ sampleRateHz: 48_000, frequencyHz: 120 })]);
    expect(largestDifference(left, render64(turned, [x])[0])).toBeLessThan(1e-12);
    expect(() => new MonoBelow(mono)).toThrow('MonoBelow: channels must be 2 to 2, got 1');
  });
});
