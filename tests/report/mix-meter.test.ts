import { describe, expect, it } from 'vitest';
import { measureLevels } from '../../src/meters/programme-meter.ts';
import { MixMeter, MOST_COLUMNS } from '../../src/report/mix-meter.ts';
import { noise, sine } from '../support/signals.ts';

const RATE = 48_000;

describe('a mix meter', () => {
  it('has the figures of the programme meter, and the same ones however it is fed', () => {
    const x = noise(5 * RATE, 1, 0.3),
      y = noise(5 * RATE, 2, 0.3);
    const fed = [64, 4096, 5 * RATE].map((step) => {
      const meter = new MixMeter({ sampleRateHz: RATE, channels: 2 }, x.length);
      for (let at = 0; at < x.length; at += step) meter.process([x, y], at, Math.min(x.length, at + step));
      return { figures: meter.figures, loudness: meter.loudness };
    });
    expect(fed[1].loudness).toEqual(fed[0].loudness);
    expect(fed[2].loudness).toEqual(fed[0].loudness);
    expect(fed[0].figures.integratedLufs).toBeCloseTo(measureLevels([x, y], RATE).integratedLufs, 9);
  });

  it('tells the loudness at the time at which it was, of a tone whose loudness EBU Tech 3341 gives', () => {
    // 1 kHz in both channels: the loudness is the level of a channel's peak, here -23 from 5 s to 8 s, else silence.
    const tone = sine(12 * RATE, 1000, RATE, 10 ** (-23 / 20)).map((v, i) => (i >= 5 * RATE && i < 8 * RATE ? v : 0));
    const meter = new MixMeter({ sampleRateHz: RATE, channels: 2 }, tone.length);
    meter.process([tone, tone], 0, tone.length);
    const { columnSeconds, momentaryLufs, shortTermLufs } = meter.loudness;
    expect(columnSeconds).toBeCloseTo(0.1, 9);
    expect(momentaryLufs).toHaveLength(120);
    const at = (values: readonly (number | null)[], seconds: number) => values[Math.round(seconds / columnSeconds) - 1];
    expect(at(momentaryLufs, 5)).toBeNull();
    expect(at(momentaryLufs, 5.4)).toBeCloseTo(-23, 1);
    expect(at(momentaryLufs, 7.9)).toBeCloseTo(-23, 1);
    expect(at(shortTermLufs, 8)).toBeCloseTo(-23, 1);
    expect(at(shortTermLufs, 6.5)).toBeCloseTo(-23 - 10 * Math.log10(2), 1); // half of the window is silent
    expect(at(shortTermLufs, 11.5)).toBeNull();
  });

  it('keeps no more columns than a picture shows, and has some for one sample', () => {
    const long = new MixMeter({ sampleRateHz: 8000, channels: 1 }, 8000 * 300);
    for (let i = 0; i < 300; i++) long.process([noise(8000, i + 1, 0.1)], 0, 8000);
    expect(long.loudness.momentaryLufs).toHaveLength(MOST_COLUMNS);
    expect(long.loudness.momentaryLufs.every((lufs) => lufs !== null && Math.abs(lufs + 24) < 4)).toBe(true);
    const short = new MixMeter({ sampleRateHz: RATE, channels: 2 }, 1);
    short.process([new Float64Array(1), new Float64Array(1)], 0, 1);
    expect(short.loudness).toEqual({ columnSeconds: 1 / RATE, momentaryLufs: [null], shortTermLufs: [null] });
  });
});
