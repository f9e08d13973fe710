/** Expander and upward compressor: one gain computer, two directions. */
import { describe, expect, it } from 'vitest';
import { Gain } from '../../src/core/gain.ts';
import { saveState } from '../../src/core/saved-state.ts';
import { Expander, expanderParameters } from '../../src/dynamics/expander.ts';
import { expansionCurve, upwardCurve } from '../../src/dynamics/static-curve.ts';
import { UpwardCompressor, upwardCompressorParameters } from '../../src/dynamics/upward-compressor.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { constant, firstDifference, largestDifference, noise, sine } from '../support/signals.ts';
import { FAST_DB } from '../support/tolerances.ts';
import { amplitude, decibels, gainTrace, levels, RATES } from './dynamics-support.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const lively = { thresholdDb: -12, attackMs: 0.1, holdMs: 0.2, releaseMs: 1, lookaheadMs: 0.3, linkPercent: 50 };
const blocks = [
  { name: 'Expander', make: Expander, curve: expansionCurve, sign: -1 },
  { name: 'UpwardCompressor', make: UpwardCompressor, curve: upwardCurve, sign: 1 },
] as const;

describe('Expander', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new Expander(stereo, o),
    table: expanderParameters,
    lively,
    takesKey: true,
    runs: 6,
  });
});

describe('UpwardCompressor with a key filter', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new UpwardCompressor(stereo, o, { keyFilter: new Gain(stereo, { gainDb: 6 }) }),
    table: upwardCompressorParameters,
    lively,
    takesKey: true,
    keyChannels: [2],
    runs: 6,
  });
});

describe.each(blocks)('$name', ({ make: Block, curve, sign }) => {
  it('has its static curve, measured after it has settled', () => {
    const shapes = [
      { thresholdDb: -40, ratio: 2, kneeDb: 0, rangeDb: 40 },
      { thresholdDb: -40, ratio: 2, kneeDb: 10, rangeDb: 40 },
      { thresholdDb: -30, ratio: 4, kneeDb: 6, rangeDb: 12 },
      { thresholdDb: -20, ratio: 100, kneeDb: 20, rangeDb: 30 },
      { thresholdDb: -30, ratio: 1, kneeDb: 6, rangeDb: 20 },
    ];
    let worst = 0;
    for (const shape of shapes) {
      const block = new Block(mono, { ...shape, attackMs: 0.1, holdMs: 0, releaseMs: 0.1 });
      for (let db = -70; db <= 6; db += 0.75) {
        const [y] = render64(block, [levels([db, 120])]);
        worst = Math.max(worst, Math.abs(decibels(Math.abs(y[119])) - curve(db, shape)));
      }
    }
    expect(worst).toBeLessThan(2 * FAST_DB); // level and gain by tables of FAST_DB each
  });

  it.each(RATES)('takes its times to the sample at %i Hz: 63.2 % of the way in dB', (sampleRateHz) => {
    const samples = (ms: number) => Math.round((sampleRateHz * ms) / 1000);
    const [attackMs, holdMs, releaseMs] = [2, 30, 50];
    const block = new Block(
      { sampleRateHz, channels: 1 },
      { thresholdDb: -20, ratio: 1.5, kneeDb: 0, rangeDb: 10, attackMs, holdMs, releaseMs },
    );
    const [quiet, loud] = [samples(300), samples(100)];
    const [gainDb] = gainTrace(block, [levels([-60, quiet], [-10, loud], [-60, quiet])]);
    const rest = sign * 10;
    expect(gainDb[quiet - 1]).toBeCloseTo(rest, 4);
    const attacked = gainDb.findIndex((g, n) => n >= quiet && g / rest <= 1 / Math.E + 1e-7) - quiet + 1;
    const end = quiet + loud;
    const held = gainDb.findIndex((g, n) => n >= end && g / rest > 1e-6) - end;
    const released = gainDb.findIndex((g, n) => n >= end && g / rest >= 1 - 1 / Math.E - 1e-7) - end - held + 1;
    const exact = [attackMs, holdMs, releaseMs].map((ms) => (sampleRateHz * ms) / 1000);
    expect(Math.abs(attacked - exact[0])).toBeLessThanOrEqual(1);
    expect(Math.abs(held - exact[1])).toBeLessThanOrEqual(1);
    expect(Math.abs(released - exact[2])).toBeLessThanOrEqual(1);
  });

  it('settles where the curve puts the peak of a steady tone, for every note of which the hold has half a period', () => {
    const shape = { thresholdDb: -20, ratio: 2, kneeDb: 0, rangeDb: 30 };
    for (const frequencyHz of [30, 80, 1000]) {
      const [gainDb] = gainTrace(new Block(mono, { ...shape, holdMs: 20, attackMs: 1, releaseMs: 50 }), [
        sine(48_000, frequencyHz, 48_000, amplitude(-26)),
      ]);
      const last = gainDb.subarray(24_000);
      // Near its peak a sine asks for a little more than at it, so the attack creeps up to the last bit of the way.
      expect(Math.max(...last.map((g) => Math.abs(g - (curve(-26, shape) + 26))))).toBeLessThan(0.05);
      expect(Math.max(...last) - Math.min(...last)).toBeLessThan(0.01);
    }
  });

  it('passes what stays above the knee bit for bit, delayed by the look-ahead', () => {
    const block = new Block(stereo, { thresholdDb: -20, kneeDb: 10, lookaheadMs: 2, linkPercent: 30, attackMs: 0 });
    expect(block.latencySamples).toBe(96);
    const x = [levels([-14.9, 2000]), levels([-3, 2000])];
    const y = render64(block, x);
    for (const c of [0, 1]) expect(firstDifference(y[c].subarray(96), x[c].subarray(0, 1904))).toBe(-1);
  });

  it('multiplies what comes out, which is delayed by the look-ahead, by the gain of its trace', () => {
    const x = noise(400, 6, 0.02),
      y = new Float64Array(400),
      gainDb = new Float64Array(400);
    new Block(mono, { thresholdDb: -30, lookaheadMs: 1 }).process([x], [y], { trace: { gainDb: [gainDb] } });
    const expected = y.map((_, n) => (x[n - 48] ?? 0) * amplitude(gainDb[n]));
    expect(largestDifference(y, expected)).toBeLessThan(1e-7);
    expect(Math.min(...gainDb.map(Math.abs))).toBeGreaterThan(1);
  });

  it('does nothing at ratio 1, from the first sample on, bit for bit', () => {
    const x = noise(1000, 5, 0.1);
    expect(firstDifference(render64(new Block(mono, { ratio: 1, thresholdDb: -10 }), [x])[0], x)).toBe(-1);
  });

  it('begins at rest, as after silence, and its gain stays between 0 dB and the range', () => {
    const block = new Block(mono, { rangeDb: 15, thresholdDb: -30, attackMs: 1, releaseMs: 20 });
    const [gainDb] = gainTrace(block, [noise(4000, 4, 0.2)]);
    expect(gainTrace(block, [constant(0, 48_000)])[0][47_999]).toBeCloseTo(sign * 15, 5);
    expect(gainDb[0]).toBeGreaterThan(-15);
    expect(gainDb.every((g) => g * sign >= -1e-9 && g * sign <= 15 + 1e-5)).toBe(true);
    block.reset();
    expect(gainTrace(block, [constant(0, 8)])[0][0]).toBeCloseTo(sign * 15, 5);
  });

  it('moves all channels by the loudest of them, as far as they are linked', () => {
    const x = [levels([-40, 400]), levels([-10, 400])];
    const settled = (linkPercent: number) =>
      gainTrace(
        new Block(stereo, {
          thresholdDb: -20,
          ratio: 1.5,
          kneeDb: 0,
          rangeDb: 40,
          attackMs: 0,
          holdMs: 0,
          releaseMs: 0,
          linkPercent,
        }),
        x,
      ).map((row) => row[399]);
    const alone = curve(-40, { thresholdDb: -20, ratio: 1.5 }) + 40;
    expect(settled(0)[0]).toBeCloseTo(alone, 4);
    expect(settled(50)[0]).toBeCloseTo(alone / 4, 4); // counts as -25 dB, 5 dB below the threshold instead of 20
    expect(settled(100)[0]).toBeCloseTo(0, 4);
    expect(settled(0)[1]).toBeCloseTo(0, 4);
  });

  it('listens to its key and not to its input; silence comes to rest without denormal numbers', () => {
    const block = new Block(mono, { thresholdDb: -30, rangeDb: 12, attackMs: 1, holdMs: 0, releaseMs: 5 });
    expect(gainTrace(block, [constant(0, 4800)], [constant(0.5, 4800)])[0][4799]).toBeCloseTo(0, 4);
    expect(gainTrace(block, [noise(4800)], [constant(0, 4800)])[0][4799]).toBeCloseTo(sign * 12, 4);
    render64(block, [constant(1, 96_000)]);
    const left = saveState(block).arrays.flat().map(Number).map(Math.abs);
    expect(left.filter((v) => v > 0 && v < 1e-30)).toEqual([]);
  });
});
