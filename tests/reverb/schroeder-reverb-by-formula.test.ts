/** The reverb beside its formulas, written out sample by sample, and what it promises at its edges: all at 8 kHz, and short. */
import { describe, expect, it } from 'vitest';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { highpass, lowpass } from '../../src/filters/biquad-design.ts';
import { absorption, combGain, echoEnergy } from '../../src/reverb/absorption.ts';
import { SchroederReverb, type SchroederReverbOptions } from '../../src/reverb/schroeder-reverb.ts';
import { tankDelays } from '../../src/reverb/tank-delays.ts';
import { allpassByFormula } from '../support/allpass-by-formula.ts';
import { render64 } from '../support/processor-laws.ts';
import { firstDifference, impulse, largestDifference, noise } from '../support/signals.ts';

const RATE = 8000;
const options = {
  preDelayMs: 5,
  decaySeconds: 0.3,
  decayHighSeconds: 0.15,
  density: 'low',
  widthPercent: 100,
  highpassHz: 200,
  lowpassHz: 3000,
  mixPercent: 100,
} as const;
type Options = { [name in keyof typeof options]: (typeof options)[name] extends number ? number : 'low' };

const reverb = (channels: number, changed: SchroederReverbOptions = {}) =>
  new SchroederReverb({ sampleRateHz: RATE, channels }, { ...options, ...changed });
const zeros = (channels: number, length: number) => Array.from({ length: channels }, () => new Float64Array(length));
const noises = (channels: number, length: number) => zeros(channels, length).map((_, c) => noise(length, c + 1));
const differences = (a: readonly Float64Array[], b: readonly Float64Array[]) =>
  a.map((y, c) => firstDifference(y, b[c]));

const delayed = (x: Float64Array, samples: number) => x.map((_, n) => (n < samples ? 0 : x[n - samples]));

const sum = (values: readonly number[]): number => values.reduce((total, v) => total + v, 0);
const mean = (x: readonly Float64Array[]): Float64Array => x[0].map((_, n) => sum(x.map((row) => row[n])) / x.length);

function biquad(x: Float64Array, { b0, b1, b2, a1, a2 }: BiquadCoefficients): Float64Array {
  const y = new Float64Array(x.length + 2);
  const past = (row: Float64Array, n: number) => (n < 0 ? 0 : row[n]);
  for (let n = 0; n < x.length; n++) {
    y[n] = b0 * x[n] + b1 * past(x, n - 1) + b2 * past(x, n - 2) - a1 * past(y, n - 1) - a2 * past(y, n - 2);
  }
  return y.subarray(0, x.length);
}

/** Echoes f[n] = gain w[n-M] + pole f[n-1], w = x + f. */
function echoes(x: Float64Array, delay: number, gain: number, pole: number): Float64Array {
  const f = new Float64Array(x.length);
  for (let n = delay; n < x.length; n++) f[n] = gain * (x[n - delay] + f[n - delay]) + pole * f[n - 1];
  return f;
}

function tank(x: Float64Array, channel: number, { density, decaySeconds, decayHighSeconds }: Options): Float64Array {
  const { combs, allpasses } = tankDelays(density, channel, RATE);
  const filters = combs.map((delay) => absorption(delay / RATE, decaySeconds, decayHighSeconds));
  const level = 1 / Math.sqrt(sum(filters.map((filter) => 1 + echoEnergy(filter))));
  const y = x.map((v) => level * Math.sqrt(combs.length) * v);
  combs.forEach((delay, i) => {
    const f = echoes(x, delay, filters[i].gain, filters[i].pole);
    for (let n = 0; n < y.length; n++) y[n] += (i % 2 === 0 ? level : -level) * f[n];
  });
  const gainOf = (delay: number) =>
    Math.min(0.65, combGain(delay / RATE, Math.min(decaySeconds, decayHighSeconds) / 2));
  return allpasses.reduce<Float64Array>((row, delay) => allpassByFormula(row, delay, gainOf(delay)), y);
}

function byFormula(x: readonly Float64Array[], o: Options): Float64Array[] {
  const sampleRateHz = RATE;
  const late = delayed(mean(x), Math.round((o.preDelayMs / 1000) * RATE));
  const high = biquad(late, highpass({ sampleRateHz, frequencyHz: o.highpassHz }));
  const feed = biquad(high, lowpass({ sampleRateHz, frequencyHz: o.lowpassHz }));
  const tails = x.map((_, c) => tank(feed, c, o)),
    shared = mean(tails);
  const w = o.widthPercent / 100,
    s = 1 / Math.sqrt(w * w + (1 - w * w) / x.length);
  const mix = o.mixPercent / 100;
  return tails.map((t, c) => t.map((v, n) => (1 - mix) * x[c][n] + mix * s * (w * v + (1 - w) * shared[n])));
}

describe('SchroederReverb', () => {
  it.each([
    { channels: 1, changed: {} },
    { channels: 2, changed: {} },
    { channels: 2, changed: { widthPercent: 30, mixPercent: 70 } },
    { channels: 3, changed: { widthPercent: 60, preDelayMs: 0, decaySeconds: 0.1 } },
  ])('of $channels channels with $changed is what its formulas say', ({ channels, changed }) => {
    const x = noises(channels, 1200);
    const expected = byFormula(x, { ...options, ...changed });
    const y = zeros(channels, 1200);
    const processor = reverb(channels, changed);
    for (const [start, end] of [
      [0, 61],
      [61, 500],
      [500, 1200],
    ]) {
      processor.process(x, y, { start, end });
    }
    expect(Math.max(...y.map((row, c) => largestDifference(row, expected[c])))).toBeLessThan(1e-13);
  });

  it('has no width in one channel: the same bits', () => {
    const at = (widthPercent: number) => render64(reverb(1, { widthPercent }), noises(1, 1000));
    for (const width of [0, 30, 70]) expect(differences(at(width), at(100))).toEqual([-1]);
  });

  it('rings for twice its longer decay, and once through all that comes before and after it', () => {
    const sampleRateHz = RATE;
    const filters = [highpass({ sampleRateHz, frequencyHz: 200 }), lowpass({ sampleRateHz, frequencyHz: 3000 })];
    const before = 40 + new BiquadCascade({ sampleRateHz, channels: 1 }, filters).tailSamples;
    const through = [0, 1].map((channel) => {
      const { combs, allpasses } = tankDelays('low', channel, RATE);
      return Math.max(...combs) + sum(allpasses);
    });
    expect(through[0]).not.toBe(through[1]);
    expect(reverb(2).tailSamples).toBe(before + 2 * 0.3 * RATE + Math.max(...through));
    expect(reverb(2, { decayHighSeconds: 0.7 }).tailSamples).toBe(before + 2 * 0.7 * RATE + Math.max(...through));
  });

  it('takes a corner that is set alone, and leaves the filters alone else', () => {
    const x = noises(1, 600);
    for (const corner of [{ highpassHz: 800 }, { lowpassHz: 1000 }]) {
      const changed = reverb(1);
      changed.set(corner);
      changed.reset();
      expect(differences(render64(changed, x), render64(reverb(1, corner), x))).toEqual([-1]);
    }
    const [one, other] = [reverb(1), reverb(1)];
    for (const processor of [one, other]) render64(processor, x);
    other.set({ mixPercent: 100 }); // as it is
    expect(differences(render64(one, x), render64(other, x))).toEqual([-1]);
  });

  it('is empty 44 decades down, makes nothing of opposite channels then, and wakes like new', () => {
    const short = { decaySeconds: 0.1, decayHighSeconds: 0.1, highpassHz: 1000 };
    const processor = reverb(2, short);
    render64(processor, noises(2, 128));
    // 44 decades at 3 a tenth of a second are 11 734 samples.
    const [left] = render64(processor, zeros(2, 10240));
    expect(Math.abs(left[10239])).toBeGreaterThan(0);
    render64(processor, zeros(2, 2560));
    expect(differences(render64(processor, zeros(2, 1280)), zeros(2, 1280))).toEqual([-1, -1]);
    const opposite = [noise(256, 5), noise(256, 5).map((v) => -v)];
    expect(render64(processor, opposite).map((y) => y.every((v) => v === 0))).toEqual([true, true]);
    const drum = noises(2, 1024);
    expect(differences(render64(processor, drum), render64(reverb(2, short), drum))).toEqual([-1, -1]);
  });

  it.each([
    { decaySeconds: 0.1, decayHighSeconds: 0.4 },
    { decaySeconds: 0.4, decayHighSeconds: 0.1 },
  ])('is not empty before its longer decay is done: %o', (decays) => {
    const processor = reverb(1, { ...decays, highpassHz: 1000 });
    render64(processor, [impulse(128)]);
    const [y] = render64(processor, zeros(1, 14_000)); // 44 decades of a decay of 0.1 s, and 13 of one of 0.4 s
    expect(Math.max(...y.subarray(13_000).map(Math.abs))).toBeGreaterThan(1e-20);
  });
});
