import { describe, expect, it } from 'vitest';
import { frequencyResponse } from '../../src/filters/response.ts';
import { kWeighting } from '../../src/meters/k-weighting.ts';
import { LoudnessMeter, measureLoudness } from '../../src/meters/loudness.ts';
import { loudnessWeights } from '../../src/meters/loudness-weights.ts';
import { tone } from '../support/ebu-signals.ts';
import { noise, numbers, sine } from '../support/signals.ts';
import vectors from '../vectors/k_weighting.json';

const RATE = 48000;
describe('kWeighting', () => {
  it('is the table of BS.1770-5 at 48 kHz', () => {
    // Tables 1 and 2, 14 decimals.
    const [shelf, highpass] = kWeighting(48000);
    expect(shelf.b0).toBeCloseTo(1.53512485958697, 13);
    expect(shelf.b1).toBeCloseTo(-2.69169618940638, 13);
    expect(shelf.b2).toBeCloseTo(1.19839281085285, 13);
    expect(shelf.a1).toBeCloseTo(-1.69065929318241, 13);
    expect(shelf.a2).toBeCloseTo(0.73248077421585, 13);
    expect([highpass.b0, highpass.b1, highpass.b2]).toEqual([1, -2, 1]);
    expect(highpass.a1).toBeCloseTo(-1.99004745483398, 13);
    expect(highpass.a2).toBeCloseTo(0.99007225036621, 13);
  });

  it('has the response of 48 kHz at every rate, within 0.011 dB up to 10 kHz', () => {
    // The largest deviation of the bilinear form at 32 kHz is 0.0103 dB; at the other rates it is below 0.008.
    const { f, dB } = vectors.k_weighting.response_48k;
    const frequenciesHz = f.filter((x) => x <= 10_000);
    for (const sampleRateHz of [32000, 44100, 48000, 88200, 96000, 192000]) {
      const { magnitudeDb } = frequencyResponse(kWeighting(sampleRateHz), { sampleRateHz, frequenciesHz });
      const worst = Math.max(...frequenciesHz.map((_, i) => Math.abs(magnitudeDb[i] - dB[i])));
      expect(worst).toBeLessThan(sampleRateHz === 48000 ? 1e-6 : 0.011);
    }
  });

  it.each([
    [8000, -0.201, 0.208, 0.29],
    [11_025, -0.103, 0.098, 0.15],
    [16_000, -0.046, 0.041, 0.07],
    [22_050, -0.021, 0.019, 0.031],
  ])('is off at %d Hz as the documentation says: %d dB at 997 Hz, %d at 2 kHz, within %d', (rate, low, high, bound) => {
    // Against the response of the tables themselves, which are the recommendation's at 48 kHz.
    const frequenciesHz = [997, 2000, ...Array.from({ length: 400 }, (_, i) => 10 * (rate / 20) ** (i / 399))];
    const response = (sampleRateHz: number) =>
      frequencyResponse(kWeighting(sampleRateHz), { sampleRateHz, frequenciesHz }).magnitudeDb;
    const here = response(rate),
      table = response(RATE);
    const off = frequenciesHz.map((_, i) => here[i] - table[i]);
    expect(Math.abs(off[0] - low)).toBeLessThan(0.0006);
    expect(Math.abs(off[1] - high)).toBeLessThan(0.0006);
    const worst = Math.max(...off.map(Math.abs));
    expect(worst).toBeLessThan(bound);
    expect(worst).toBeGreaterThan(0.9 * bound); // the bound says how much it is, not just less than what
  });

  it.each([NaN, 0, 7999, 384_001])('refuses a sample rate of %d', (rate) => {
    expect(() => kWeighting(rate)).toThrow(`kWeighting: sampleRateHz must be 8000 to 384000, got ${rate}`);
  });
});

describe('measureLoudness', () => {
  it('reads signal 6 of EBU Tech 3341 (V4, 2023), Table 1: five channels with their weights', () => {
    const [front, centre, surround] = [-28, -24, -30].map((dB) => tone([[20, dB]]));
    const lufs = measureLoudness([front, front, centre, surround, surround], RATE, loudnessWeights('5.0'));
    expect(Math.abs(lufs - -23)).toBeLessThanOrEqual(0.1); // the publisher's tolerance; then an independent meter's reading
    expect(Math.abs(lufs - -23.016)).toBeLessThanOrEqual(0.001);
  });

  it('reads -3.01 for a 997 Hz sine of 0 dBFS in one channel (BS.1770-5, Annex 1)', () => {
    const x = sine(5 * RATE, 997, RATE);
    expect(measureLoudness([x], RATE)).toBeCloseTo(-3.01, 2);
  });

  it('has no loudness for silence, and none for less than a block', () => {
    expect(measureLoudness([new Float64Array(RATE)], RATE)).toBe(-Infinity);
    expect(measureLoudness([noise(Math.round(0.4 * RATE) - 1)], RATE)).toBe(-Infinity);
    expect(measureLoudness([noise(Math.round(0.4 * RATE))], RATE)).toBeGreaterThan(-20);
  });

  it('does not depend on how the signal is cut, and takes a part of an array', () => {
    const x = [noise(100_000, 1), noise(100_000, 2)];
    const meter = new LoudnessMeter({ sampleRateHz: 44100, channels: 2 });
    const next = numbers(5);
    for (let start = 0; start < 100_000;) {
      const end = Math.min(100_000, start + Math.floor(next() * 3000));
      meter.process(x, start, end);
      start = end;
    }
    expect(meter.integratedLufs).toBe(measureLoudness(x, 44100));
  });

  it('remembers maxima and the range of what is over, and forgets all at a reset', () => {
    const x = tone([
      [4, -20],
      [4, -40],
      [4, -Infinity],
    ]);
    const meter = new LoudnessMeter({ sampleRateHz: RATE, channels: 1 }, [2]);
    meter.process([x]);
    expect(meter.momentaryLufs).toBeLessThan(-200);
    expect(meter.shortTermLufs).toBeLessThan(-100);
    expect(meter.figures.maximumMomentaryLufs).toBeCloseTo(-19.99, 2);
    expect(meter.figures.maximumShortTermLufs).toBeCloseTo(-19.99, 2);
    meter.reset();
    const empty = new LoudnessMeter({ sampleRateHz: RATE, channels: 1 }, [2]).figures;
    expect(meter.figures).toEqual(empty);
    expect(empty.rangeLu).toBeNull();
    meter.process([x], 0, 50_000);
    const again = new LoudnessMeter({ sampleRateHz: RATE, channels: 1 }, [2]);
    again.process([x], 0, 50_000);
    expect(meter.figures).toEqual(again.figures);
  });

  it('gates within the resolution of its histogram: I within 0.005 LU and LRA within 0.01 LU of exact gating', () => {
    // BS.1770-5 and Tech 3342 carried out to the letter on the meter's own M and S, read every 100 ms.
    const mean = (lufs: readonly number[]) =>
      10 * Math.log10(lufs.reduce((sum, l) => sum + 10 ** (l / 10), 0) / lufs.length);
    for (let seed = 1; seed <= 8; seed++) {
      const next = numbers(seed);
      const meter = new LoudnessMeter({ sampleRateHz: 8000, channels: 1 });
      const [blocks, windows]: number[][] = [[], []];
      for (let step = 0; step < 600; step++) {
        const level = step % 20 === 0 ? 10 ** (-3 * next() * next()) : 1;
        meter.process([noise(800, 1000 * seed + step, level * 10 ** (-1.2 * next()))]);
        if (step >= 3) blocks.push(meter.momentaryLufs);
        if (step >= 29) windows.push(meter.shortTermLufs);
      }
      const above = (lufs: readonly number[], gate: number) => lufs.filter((l) => l > gate);
      const loud = above(blocks, -70);
      const integrated = mean(above(loud, mean(loud) - 10));
      const sorted = above(windows, mean(above(windows, -70)) - 20).sort((a, b) => a - b);
      const percentile = (p: number) => sorted[Math.round(((sorted.length - 1) * p) / 100 + 1) - 1];
      expect(Math.abs(meter.integratedLufs - integrated)).toBeLessThan(0.005);
      expect(Math.abs((meter.figures.rangeLu ?? NaN) - (percentile(95) - percentile(10)))).toBeLessThan(0.01);
    }
  });

  it('measures sound that is far above full scale', () => {
    const x = noise(5 * RATE, 4, 1000);
    expect(measureLoudness([x], RATE) - measureLoudness([x.map((v) => v / 1000)], RATE)).toBeCloseTo(60, 9);
  });

  it('knows the weights of layouts, and no others', () => {
    expect(loudnessWeights('5.1')).toEqual([1, 1, 1, 0, 1.41, 1.41]);
    expect(loudnessWeights('7.1')).toEqual([1, 1, 1, 0, 1, 1, 1.41, 1.41]); // rear pair before the pair at the sides
    expect(() => loudnessWeights('5.2' as '5.1')).toThrow(
      'loudnessWeights: layout 5.2 is unknown; the nearest name is 5.',
    );
  });

  it('rises by 20 LU when the signal is ten times as large', () => {
    const x = noise(96_000, 3, 0.01);
    expect(measureLoudness([x.map((v) => 10 * v)], RATE) - measureLoudness([x], RATE)).toBeCloseTo(20, 9);
  });
});
