import { describe, expect, it } from 'vitest';
import { saveState } from '../../src/core/saved-state.ts';
import {
  TransientShaper,
  type TransientShaperOptions,
  transientShaperParameters,
} from '../../src/dynamics/transient-shaper.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { bursts, constant, firstDifference, largestDifference, noise, sine } from '../support/signals.ts';
import { FAST_DB } from '../support/tolerances.ts';
import { amplitude, gainTrace, RATES, strokes } from './dynamics-support.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const lively = {
  attackDb: 12,
  sustainDb: -9,
  attackMs: 2,
  sustainMs: 10,
  smoothingMs: 0.1,
  holdMs: 0.5,
  lookaheadMs: 0.3,
  linkPercent: 40,
};

/** Gain of the plain form: nothing smoothed, nothing ahead. */
const plain = (options: TransientShaperOptions, x: Float64Array, sampleRateHz = 48000): Float64Array =>
  gainTrace(new TransientShaper({ sampleRateHz, channels: 1 }, { smoothingMs: 0, lookaheadMs: 0, ...options }), [x])[0];

describe('TransientShaper', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new TransientShaper(stereo, o),
    table: transientShaperParameters,
    lively,
    takesKey: true,
    runs: 8,
  });

  it.each(RATES)('has an attack that fades as e^(-t / attack), at %i Hz', (sampleRateHz) => {
    const gainDb = plain({ attackDb: 10, attackMs: 20 }, constant(0.3, Math.round(sampleRateHz / 10)), sampleRateHz);
    const expected = gainDb.map((_, n) => 10 * Math.exp(-(n + 1) / (0.02 * sampleRateHz)));
    expect(largestDifference(gainDb, expected)).toBeLessThan(2 * FAST_DB);
  });

  it.each(RATES)('has a sustain that grows as the closed form says, at %i Hz', (sampleRateHz) => {
    const [holdMs, sustainMs, sustainDb] = [10, 200, -12];
    const held = Math.round((sampleRateHz * holdMs) / 1000),
      begin = 200;
    const x = constant(0.7, begin + sampleRateHz / 10).fill(0, begin);
    const gainDb = plain({ sustainDb, holdMs, sustainMs }, x, sampleRateHz);
    expect(largestDifference(gainDb.subarray(0, begin + held), constant(0, begin + held))).toBeLessThan(FAST_DB);
    const share = (ms: number) =>
      1 - (sustainMs - holdMs) / (sustainMs * Math.exp(ms * (1 / holdMs - 1 / sustainMs)) - holdMs);
    for (const ms of [2, 5, 10, 30, 80]) {
      // The closed form is that of continuous time: 0.5 % is the promise for times, of which a sample is a part.
      const n = begin + held + Math.round((sampleRateHz * ms) / 1000) - 1;
      expect(Math.abs(gainDb[n] / sustainDb / share(ms) - 1)).toBeLessThan(0.005 + 1000 / (sampleRateHz * ms));
    }
  });

  it('does the same to a hit whatever its level: 0 to -40 dB', () => {
    const hiss = noise(24_000, 3, 1e-3);
    const drum = strokes(24_000, 48_000, [
      { seconds: 0.05, peak: 0.9 },
      { seconds: 0.2, peak: 0.2 },
      { seconds: 0.3, peak: 0.7 },
    ]).map((v, i) => v + hiss[i]);
    const traceAt = (db: number) =>
      gainTrace(new TransientShaper(mono, { attackDb: 9, sustainDb: 6 }), [drum.map((v) => v * amplitude(db))])[0];
    const loud = traceAt(0);
    expect(Math.max(...loud) - Math.min(...loud)).toBeGreaterThan(5);
    for (const db of [-6, -17.3, -40]) expect(largestDifference(traceAt(db), loud)).toBeLessThan(1e-9);
  });

  it('leaves a steady tone as it is, if the hold has half its period', () => {
    for (const frequencyHz of [55, 440, 4999]) {
      const gainDb = plain({ attackDb: 12, sustainDb: 12 }, sine(24_000, frequencyHz, 48_000));
      const settled = gainDb.subarray(12_000);
      // What is left: no sample falls exactly on every peak.
      expect(Math.max(...settled.map(Math.abs))).toBeLessThan(0.05);
    }
  });

  it('multiplies what comes out, which is delayed by the look-ahead, by the gain of its trace', () => {
    const x = strokes(4800, 48_000, [{ seconds: 0.02, peak: 0.5 }]),
      y = new Float64Array(4800),
      gainDb = new Float64Array(4800);
    new TransientShaper(mono, { attackDb: 12, sustainDb: -9 }).process([x], [y], { trace: { gainDb: [gainDb] } });
    const expected = y.map((_, n) => (x[n - 96] ?? 0) * amplitude(gainDb[n]));
    expect(largestDifference(y, expected)).toBeLessThan(1e-6);
    expect(largestDifference(gainDb, constant(0, 4800))).toBeGreaterThan(5);
  });

  it('lifts the attack and not the ring, or the ring and not the attack', () => {
    const drum = strokes(24_000, 48_000, [{ seconds: 0.1, peak: 0.5 }]);
    const gains = (options: TransientShaperOptions) => gainTrace(new TransientShaper(mono, options), [drum])[0];
    const early = 4800 + 96 + 48,
      late = 4800 + 12_000; // 1 ms and 250 ms after the stroke comes out
    const attack = gains({ attackDb: 6 }),
      ring = gains({ sustainDb: -10 });
    expect(attack[early]).toBeGreaterThan(5);
    expect(Math.abs(attack[late])).toBeLessThan(0.1);
    expect(ring[early]).toBeGreaterThan(-0.5);
    expect(ring[late]).toBeLessThan(-4);
  });

  it('has its gain up when the hit comes out, thanks to the look-ahead, and moves it no faster than it says', () => {
    const shaper = new TransientShaper(mono, { attackDb: 8, attackMs: 200, smoothingMs: 0.5, lookaheadMs: 2 });
    expect(shaper.latencySamples).toBe(96);
    const quiet = noise(4800, 8, 1e-4);
    const x = quiet.map((v, i) => (i < 2400 ? v : 0.5));
    const [gainDb] = gainTrace(shaper, [x]);
    const before = gainDb[2399];
    const ready = before + (8 - before) * (1 - Math.exp(-96 / 24)); // one pole of 24 samples, 96 samples of it
    expect(Math.abs(gainDb[2400 + 95] - ready)).toBeLessThan(0.1);
    expect(Math.max(...gainDb.subarray(1).map((g, i) => Math.abs(g - gainDb[i])))).toBeLessThan(
      8 * (1 - Math.exp(-1 / 24)) + 1e-6,
    );
  });

  it('passes everything bit for bit where there is nothing to shape', () => {
    const x = bursts(4000, 2);
    const [y] = render64(new TransientShaper(mono, {}), [x]);
    expect(firstDifference(y.subarray(96), x.subarray(0, 4000 - 96))).toBe(-1);
  });

  it('links the channels towards the lowest gain in dB', () => {
    const steady = sine(9600, 1000, 48_000),
      hit = constant(0, 9600).fill(0.5, 4800);
    const at = (linkPercent: number) =>
      gainTrace(new TransientShaper(stereo, { attackDb: 10, linkPercent, lookaheadMs: 0, smoothingMs: 0 }), [
        steady,
        hit,
      ]).map((row) => row[4800]);
    const left = 10 * Math.exp(-4801 / 960); // of the begin of the tone, 100 ms ago
    expect(Math.abs(at(0)[0] - left)).toBeLessThan(0.01);
    expect(at(0)[1]).toBeCloseTo(10 * Math.exp(-1 / 960), 4);
    expect(at(50)[1]).toBeCloseTo((at(0)[0] + at(0)[1]) / 2, 4);
    expect(at(100)[1]).toBeCloseTo(at(0)[0], 4); // the steady tone is the loudest, and it has no attack
  });

  it('holds the last peak in each channel when linked channels part', () => {
    const shaper = new TransientShaper(stereo, { sustainDb: -20, holdMs: 10, sustainMs: 50 });
    const drum = strokes(2000, 48_000, [{ seconds: 0.04, peak: 0.5 }]); // at sample 1920: still held
    render64(shaper, [drum, drum]);
    shaper.set({ linkPercent: 0 });
    const [left, right] = gainTrace(shaper, [constant(0, 2000), constant(0, 2000)]);
    expect(firstDifference(right, left)).toBe(-1);
    expect(Math.abs(left[300])).toBeLessThan(0.1);
    expect(left[1999]).toBeLessThan(-3);
  });

  it('shapes by its key when it has one', () => {
    const key = constant(0, 4800).fill(1, 2400);
    const gains = gainTrace(new TransientShaper(mono, { attackDb: 10, smoothingMs: 0 }), [noise(4800)], [key])[0];
    expect(gains[2399]).toBe(0);
    expect(gains[2400]).toBeGreaterThan(9.9);
  });

  it('holds shares between 0 and 1 whatever comes, and forgets without denormal numbers', () => {
    const shaper = new TransientShaper(mono, { attackDb: 10, sustainDb: 7, attackMs: 1, sustainMs: 10, holdMs: 0 });
    const [gainDb] = gainTrace(shaper, [bursts(20_000, 5)]);
    expect(Math.max(...gainDb)).toBeLessThan(17 + FAST_DB);
    expect(Math.min(...gainDb)).toBeGreaterThan(-FAST_DB);
    render64(shaper, [constant(0, 96_000)]);
    const left = saveState(shaper).arrays.flat().map(Number).map(Math.abs);
    expect(left.filter((v) => v > 0 && v < 1e-30)).toEqual([]);
  });
});
