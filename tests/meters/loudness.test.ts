import { describe, expect, it } from 'vitest';
import { frequencyResponse } from '../../src/filters/response.ts';
import { kWeighting } from '../../src/meters/k-weighting.ts';
import { LoudnessMeter, measureLoudness } from '../../src/meters/loudness.ts';
import { noise, numbers, sine } from '../support/signals.ts';
import vectors from '../vectors/k_weighting.json';

const RATE = 48000;
type Segment = readonly [seconds: number, dB: number];

/** EBU Tech 3341: 1000 Hz sine, each segment from phase 0, levels are peak dBFS of each channel. */
const tone = (segments: readonly Segment[]): Float64Array => {
  const parts = segments.map(([seconds, dB]) => sine(Math.round(seconds * RATE), 1000, RATE, 10 ** (dB / 20)));
  const signal = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    signal.set(part, at);
    at += part.length;
  }
  return signal;
};

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
});

describe('measureLoudness', () => {
  // EBU Tech 3341 (V4, 2023), Table 1, signals 1 to 6; tolerance of the publisher: 0.1 LU. The third number is what an
  // independent implementation reads, to which a correct meter agrees much closer.
  const cases: readonly (readonly [string, readonly Segment[], number, number])[] = [
    ['1', [[20, -23]], -23, -22.993],
    ['2', [[20, -33]], -33, -32.993],
    [
      '3',
      [
        [10, -36],
        [60, -23],
        [10, -36],
      ],
      -23,
      -23.014,
    ],
    [
      '4',
      [
        [10, -72],
        [10, -36],
        [60, -23],
        [10, -36],
        [10, -72],
      ],
      -23,
      -23.014,
    ],
    [
      '5',
      [
        [20, -26],
        [20.1, -20],
        [20, -26],
      ],
      -23,
      -22.979,
    ],
  ];
  for (const [number, segments, expected, independent] of cases) {
    it(`reads signal ${number} of EBU Tech 3341`, () => {
      const x = tone(segments);
      const lufs = measureLoudness([x, x], RATE);
      expect(Math.abs(lufs - expected)).toBeLessThanOrEqual(0.1);
      expect(Math.abs(lufs - independent)).toBeLessThanOrEqual(0.001);
    });
  }

  it('reads signal 6, five channels with their weights', () => {
    const [front, centre, surround] = [-28, -24, -30].map((dB) => tone([[20, dB]]));
    const lufs = measureLoudness([front, front, centre, surround, surround], RATE, [1, 1, 1, 1.41, 1.41]);
    expect(Math.abs(lufs - -23)).toBeLessThanOrEqual(0.1);
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

  it('rises by 20 LU when the signal is ten times as large', () => {
    const x = noise(96_000, 3, 0.01);
    expect(measureLoudness([x.map((v) => 10 * v)], RATE) - measureLoudness([x], RATE)).toBeCloseTo(20, 9);
  });
});
