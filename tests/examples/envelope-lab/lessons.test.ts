import { describe, expect, it } from 'vitest';
import { attackTimes } from '../../../examples/envelope-lab/src/attack-times.ts';
import { columnsOf } from '../../../examples/envelope-lab/src/columns.ts';
import { curveOf } from '../../../examples/envelope-lab/src/curve.ts';
import { countOpenings } from '../../../examples/envelope-lab/src/figures.ts';
import { matchedGainsDb } from '../../../examples/envelope-lab/src/player.ts';
import { render, type Sound } from '../../../examples/envelope-lab/src/render.ts';
import { bandCentres, bandLevels } from '../../../examples/envelope-lab/src/spectrum.ts';
import { blockTypes } from '../../../src/blocks/block-types.ts';

const RATE = 48_000;
const steady = (db: number, seconds = 1): Sound => ({
  sampleRateHz: RATE,
  channels: [new Float32Array(seconds * RATE).fill(10 ** (db / 20))],
});
const plain = { options: {}, keyHighpassHz: 0, dry: 'none' } as const;

describe('attack times', () => {
  it.each([2, 10, 50])('asked for %d ms, each definition measures that in its own way', (asked) => {
    const times = attackTimes(asked);
    times.forEach(({ measuredMs }, i) => expect(measuredMs[i] / asked).toBeCloseTo(1, 2));
    // One pole: 63.2 % after tau, 10 to 90 % in tau ln 9, 90 % after tau ln 10.
    for (const { attackMs, measuredMs } of times) {
      [1, Math.log(9), Math.log(10)].forEach((factor, i) => {
        expect(Math.abs(measuredMs[i] - attackMs * factor)).toBeLessThan(1000 / RATE);
      });
    }
  });
});

describe('curves', () => {
  // A level between the two curves of a gate stays where it was: below the threshold that is the closed branch.
  it.each([
    ['compressor', { thresholdDb: -30, ratio: 4, kneeDb: 10, makeupDb: 3, attackMs: 1, mixPercent: 70 }],
    ['compressor', { thresholdDb: -30, ratio: 4, rangeDb: 6, automaticMakeup: true, attackMs: 1 }],
    ['expander', { thresholdDb: -30, ratio: 3, releaseMs: 20 }],
    ['upwardCompressor', { thresholdDb: -30, ratio: 3, releaseMs: 20 }],
    ['gate', { thresholdDb: -30, hysteresisDb: 0, rangeDb: 20, releaseMs: 20 }],
    ['limiter', { ceilingDb: -20 }],
  ])('the static curve of a %s is where the block comes to rest', (block, options) => {
    const curve = curveOf({ block, options, keyHighpassHz: 0 }, RATE);
    for (const level of [-60, -40, -33, -29, -20, -6]) {
      const { output } = render(steady(level), { ...plain, block, options });
      const at = curve?.x.indexOf(level) ?? -1;
      expect(20 * Math.log10(output.channels[0].at(-1) ?? 0), `${level} dB`).toBeCloseTo(
        curve?.curves[0].y[at] ?? NaN,
        2,
      );
    }
  });

  it('a transfer curve is the function of the clipper, in both directions', () => {
    const curve = curveOf({ block: 'softClipper', options: { driveDb: 12, curve: 'tanh' }, keyHighpassHz: 0 }, RATE);
    const gain = 10 ** (12 / 20);
    curve?.curves.forEach(({ y }) => {
      y.forEach((value, i) => expect(value).toBeCloseTo(Math.tanh(gain * curve.x[i]), 3));
    });
  });

  it('a response is that of the filter', () => {
    // A bell has its gain at its centre and none far away (cookbook).
    const curve = curveOf(
      { block: 'equaliser', options: { frequencyHz: 640, gainDb: 9, q: 2 }, keyHighpassHz: 0 },
      RATE,
    );
    const at = (hz: number) => curve?.curves[0].y[curve.x.findIndex((x) => Math.abs(x - hz) < 1e-6)] ?? NaN;
    expect(at(640)).toBeCloseTo(9, 2);
    expect(at(20)).toBeCloseTo(0, 1);
  });

  it('every block that the lab offers has a picture, or moves without one', () => {
    for (const [block, { takesImpulse = false }] of Object.entries(blockTypes)) {
      if (!takesImpulse)
        expect(curveOf({ block, options: {}, keyHighpassHz: 0 }, RATE) === undefined).toBe(block === 'transientShaper');
    }
  });
});

describe('figures and spectra', () => {
  it('a sine has its own mean square in its band, and nothing two octaves away', () => {
    const sine = {
      sampleRateHz: RATE,
      channels: [Float32Array.from({ length: 2 * RATE }, (_, i) => Math.sin((2 * Math.PI * 1280 * i) / RATE))],
    };
    const levels = bandLevels(sine);
    const centres = bandCentres(RATE);
    const at = (hz: number) => levels[centres.findIndex((x) => Math.abs(x - hz) < 1e-6)];
    expect(at(1280)).toBeCloseTo(10 * Math.log10(1 / 2), 1);
    expect(at(5120)).toBeLessThan(-100);
    expect(at(320)).toBeLessThan(-100);
  });

  it('counts the times that a gate opens', () => {
    const channels = [new Float32Array(RATE)];
    for (const at of [0.1, 0.3, 0.7]) channels[0].fill(0.5, at * RATE, at * RATE + 480);
    const block = { block: 'gate', options: { holdMs: 1, releaseMs: 1 } };
    expect(countOpenings(render({ sampleRateHz: RATE, channels }, { ...plain, ...block }))).toBe(3);
  });

  it('adds the input as it is, or as late as the block', () => {
    const pulse = { sampleRateHz: RATE, channels: [new Float32Array(1000)] };
    pulse.channels[0][0] = 0.1;
    const block = { block: 'limiter', options: { lookaheadMs: 5 } };
    const peaks = (dry: 'early' | 'inTime') =>
      Array.from(render(pulse, { ...plain, ...block, dry }).output.channels[0]).flatMap((x, i) => (x === 0 ? [] : [i]));
    expect(peaks('early')).toEqual([0, 240]);
    expect(peaks('inTime')).toEqual([240]);
  });

  it('doubles one channel for a block that needs two', () => {
    expect(render(steady(-6), { ...plain, block: 'midSide' }).output.channels).toHaveLength(2);
  });
});

describe('listening', () => {
  it('turns the louder side down, and both where a peak would pass full scale', () => {
    const gains = matchedGainsDb({ loudnessLufs: [-20, -14], peaksDb: [-3, -1] });
    expect(gains).toEqual({ before: 0, after: -6 });
    expect(matchedGainsDb({ loudnessLufs: [-20, -26], peaksDb: [-3, 9] })).toEqual({ before: -15, after: -9 });
    expect(matchedGainsDb({ loudnessLufs: [-20, -Infinity], peaksDb: [-3, -Infinity] })).toEqual({
      before: 0,
      after: 0,
    });
  });
});

describe('columns', () => {
  it('keep the extremes of what they stand for', () => {
    const signal = Float32Array.from({ length: 10_000 }, (_, i) => (i === 4321 ? 5 : i === 7777 ? -5 : 0));
    const { values, seconds } = columnsOf(signal, { from: 0, to: 10_000 }, 100, 1000);
    expect([Math.max(...values), Math.min(...values)]).toEqual([5, -5]);
    expect(seconds[values.indexOf(5)]).toBeCloseTo(4.3, 1);
    expect(seconds.every((value, i) => i === 0 || value > seconds[i - 1])).toBe(true);
  });

  it('are the samples themselves where there are few', () => {
    const { values } = columnsOf(Float32Array.of(1, 2, 3, 4), { from: 1, to: 3 }, 100, 1000);
    expect(Array.from(values)).toEqual([2, 3]);
  });
});
