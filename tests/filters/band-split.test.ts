import { describe, expect, it } from 'vitest';
import { Chain } from '../../src/core/chain.ts';
import { Delay } from '../../src/core/delay.ts';
import { RealFft } from '../../src/core/fft.ts';
import { Gain } from '../../src/core/gain.ts';
import { Polarity } from '../../src/core/polarity.ts';
import type { Processor, StreamFormat } from '../../src/core/processor.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { Gate } from '../../src/dynamics/gate.ts';
import { Limiter } from '../../src/dynamics/limiter.ts';
import { BandSplit, type BandSplitOptions, bandSplitParameters } from '../../src/filters/band-split.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { allpass, lowpass } from '../../src/filters/biquad-design.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { impulse, largestDifference, noise, peak, sine } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };

/** Crossovers from low to high, as they rise. */
const CROSSOVERS: readonly BandSplitOptions[] = [
  { firstHz: 120 },
  { firstHz: 90, secondHz: 2000 },
  { firstHz: 40, secondHz: 700, thirdHz: 5000 },
  { firstHz: 3000, secondHz: 3001, thirdHz: 9000 },
];
const RATES = [22_050, 44_100, 48_000, 96_000, 192_000];

const plain = (format: StreamFormat, bands: number): Processor[] =>
  Array.from({ length: bands }, () => new Gain(format));

/** The all-passes that a sum of bands has gone through. */
const sumOf = (format: StreamFormat, options: BandSplitOptions): BiquadCascade =>
  new BiquadCascade(
    format,
    (Object.values(options) as number[]).map((frequencyHz) =>
      allpass({ sampleRateHz: format.sampleRateHz, frequencyHz }),
    ),
  );

/** Ripple of a response in dB: how far it is from 0 at most. */
function unevenness(h: Float64Array): number {
  const size = h.length;
  const re = new Float64Array(size / 2 + 1),
    im = new Float64Array(size / 2 + 1);
  new RealFft(size).forward(h, re, im);
  return re.reduce((worst, r, k) => Math.max(worst, Math.abs(20 * Math.log10(Math.hypot(r, im[k])))), 0);
}

describe('BandSplit', () => {
  obeysProcessorLaws(stereo, {
    create: (o) =>
      new BandSplit(stereo, o, [
        new Compressor(stereo, { thresholdDb: -30, attackMs: 0.1, releaseMs: 1 }),
        new Limiter(stereo, { ceilingDb: -12, lookaheadMs: 0.3 }),
        new Gain(stereo, { gainDb: -3 }),
      ]),
    table: bandSplitParameters,
    lively: { firstHz: 500, secondHz: 4000 },
    // Any two crossovers, in their order, and a third above them.
    arrange: ({ firstHz = 500, secondHz = 4000 }) => ({
      firstHz: Math.min(firstHz, secondHz, 20_000),
      secondHz: Math.max(firstHz, secondHz) + 1,
    }),
    takesKey: true,
    runs: 4,
    length: 2000,
  });

  describe.each(RATES)('at %i Hz', (sampleRateHz) => {
    it('adds up to a flat sum: within 0.001 dB of its all-pass at every frequency', () => {
      const format = { sampleRateHz, channels: 1 };
      for (const options of CROSSOVERS) {
        const split = new BandSplit(format, options, plain(format, Object.keys(options).length + 1));
        // Long enough for a corner of 40 Hz at this rate to die away.
        const length = 2 ** Math.ceil(Math.log2(sampleRateHz / 3));
        expect(unevenness(render64(split, [impulse(length)])[0])).toBeLessThan(0.001);
      }
    });

    it('with all ratios at 1:1, is its all-pass to -140 dB', () => {
      const format = { sampleRateHz, channels: 2 };
      for (const options of CROSSOVERS) {
        const bands = Array.from(
          { length: Object.keys(options).length + 1 },
          () => new Compressor(format, { ratio: 1, thresholdDb: -60 }),
        );
        const x = [noise(8000, 1), noise(8000, 2)];
        const y = render64(new BandSplit(format, options, bands), x),
          wanted = render64(sumOf(format, options), x);
        for (const c of [0, 1]) expect(largestDifference(y[c], wanted[c])).toBeLessThan(1e-7 * peak(wanted[c]));
      }
    });
  });

  it('has -6.02 dB at the crossover in each band, and bands that fall by 24 dB/octave', () => {
    const level = (band: number, frequencyHz: number) => {
      const bands = [0, 1].map((b) => new Gain(mono, { gainDb: b === band ? 0 : -120 }));
      const [y] = render64(new BandSplit(mono, { firstHz: 500 }, bands), [sine(48_000, frequencyHz, 48_000)]);
      return 20 * Math.log10(peak(y.subarray(24_000)));
    };
    for (const band of [0, 1]) expect(level(band, 500)).toBeCloseTo(-6.0206, 3);
    // Linkwitz-Riley 4: |H| = 1 / (1 + x^4), with x warped by the bilinear transform. A period of 24 samples
    // leaves up to 0.075 dB between its highest sample and its peak.
    const warped = (f: number) => Math.tan((Math.PI * f) / 48_000) / Math.tan((Math.PI * 500) / 48_000);
    expect(Math.abs(level(0, 2000) + 20 * Math.log10(1 + warped(2000) ** 4))).toBeLessThan(0.075);
    expect(Math.abs(level(1, 125) + 20 * Math.log10(1 + warped(125) ** -4))).toBeLessThan(0.01);
  });

  it('brings bands of unlike latency together, and keeps the sum flat', () => {
    const bands = [
      new Limiter(mono, { ceilingDb: 0, lookaheadMs: 3 }),
      new Gain(mono),
      new Chain(mono, [new Gate(mono, { thresholdDb: -120, lookaheadMs: 1 }), new Compressor(mono, { ratio: 1 })]),
    ];
    const options = { firstHz: 200, secondHz: 3000 };
    const split = new BandSplit(mono, options, bands);
    expect(split.latencySamples).toBe(144);
    const x = [noise(6000, 3, 0.1)];
    // The gate opens at the first sample and fades in over a few milliseconds; then everything passes.
    const late = (from: Float64Array) => from.subarray(3000, 6000 - 144);
    const [wanted] = render64(sumOf(mono, options), x),
      [y] = render64(split, x);
    expect(largestDifference(y.subarray(3144), late(wanted))).toBeLessThan(1e-7);
  });

  it.each([{ firstHz: 300 }, { secondHz: 2500 }, { firstHz: 90, secondHz: 4000 }])(
    'once set to %j, is what it would be new',
    (change) => {
      const options = { firstHz: 150, secondHz: 1500 };
      const bands = () => [new Gain(mono), new Gain(mono, { gainDb: -6 }), new Polarity(mono)];
      const split = new BandSplit(mono, options, bands());
      split.set(change);
      render64(split, [new Float64Array(4800)]); // until the change has faded in
      const x = [noise(500, 6)];
      const [wanted] = render64(new BandSplit(mono, { ...options, ...change }, bands()), x);
      expect(largestDifference(render64(split, x)[0], wanted)).toBeLessThan(1e-12);
    },
  );

  it('traces gains alone, or levels alone', () => {
    const split = new BandSplit(mono, {}, [new Compressor(mono), new Compressor(mono)]);
    const [rows, x] = [[new Float64Array(8).fill(99)], [new Float64Array(8)]];
    split.process(x, x, { trace: { gainDb: rows } });
    expect(rows[0][7]).toBe(0);
    split.process(x, x, { trace: { levelDb: rows } });
    expect(rows[0][7]).toBe(-200);
  });

  it('has a tail as long as its filters and the longest of its bands together', () => {
    const tail = (bands: Processor[]) => new BandSplit(mono, {}, bands).tailSamples;
    const low = () => new BiquadCascade(mono, [lowpass({ sampleRateHz: 48000, frequencyHz: 20, q: 5 })]);
    const filters = tail([new Gain(mono), new Gain(mono)]);
    expect(filters).toBeGreaterThan(0);
    expect(tail([low(), new Gain(mono)])).toBe(filters + low().tailSamples);
    expect(tail([new Gain(mono), low()])).toBe(filters + low().tailSamples);
  });

  it('processes each band by itself: a loud low note does not press the highs', () => {
    const low = sine(48_000, 60, 48_000, 0.8);
    const x = low.map((v, i) => v + 0.01 * Math.sin((2 * Math.PI * 5000 * i) / 48_000));
    const squeeze = () => new Compressor(mono, { thresholdDb: -30, ratio: 10, attackMs: 1 });
    const split = new BandSplit(mono, { firstHz: 500 }, [squeeze(), squeeze()]);
    const [y] = render64(split, [x]);
    // The high note by projection; it is 10 dB below the threshold.
    let re = 0,
      im = 0;
    for (let n = 24_000; n < 48_000; n++) {
      re += (y[n] * Math.cos((2 * Math.PI * 5000 * n) / 48_000)) / 12_000;
      im += (y[n] * Math.sin((2 * Math.PI * 5000 * n) / 48_000)) / 12_000;
    }
    expect(20 * Math.log10(Math.hypot(re, im) / 0.01)).toBeCloseTo(0, 1);
    expect(peak(y.subarray(24_000))).toBeLessThan(0.2);
  });

  it('lets bands that listen to a key hear themselves while there is none, before one and after', () => {
    const split = new BandSplit(mono, { firstHz: 300 }, [new Compressor(mono), new Compressor(mono)]);
    const x = [sine(1000, 100, 48_000)];
    const [alone] = render64(split, x);
    render64(split, [new Float64Array(1000)], [new Float64Array(1000)]);
    split.reset();
    expect(largestDifference(render64(split, x)[0], alone)).toBe(0);
    expect(peak(alone.subarray(500))).toBeLessThan(0.7); // 20 dB above the threshold
  });

  it('hands its key to the bands that listen to one, and traces band after band', () => {
    const bands = [new Compressor(mono, { thresholdDb: -20, attackMs: 0, releaseMs: 0 }), new Gate(mono)];
    const split = new BandSplit(mono, { firstHz: 300 }, bands);
    expect(split.takesKey).toBe(true);
    const rows = () => [new Float64Array(256), new Float64Array(256)];
    const trace = { levelDb: rows(), gainDb: rows() };
    const key = [new Float64Array(256).fill(1)];
    split.process([new Float64Array(256)], [new Float64Array(256)], { key, trace });
    expect([trace.levelDb[0][255], trace.levelDb[1][255]]).toEqual([0, 0]);
    expect(trace.gainDb[0][255]).toBeCloseTo(-15, 4);
    expect(trace.gainDb[1][255]).toBeGreaterThan(-1);
    const deaf = new BandSplit(mono, {}, [new Gain(mono), new Delay(mono)]);
    expect(() => deaf.process([new Float64Array(8)], [new Float64Array(8)], { key: [new Float64Array(8)] })).toThrow(
      'BandSplit: takes no key',
    );
  });

  it('refuses crossovers that do not rise, too many bands and bands of another format', () => {
    expect(() => new BandSplit(mono, { firstHz: 2000 }, plain(mono, 3))).toThrow(
      new RangeError('BandSplit: secondHz must be above 2000 (firstHz), got 1500'),
    );
    expect(() => new BandSplit(mono, { firstHz: 2000 }, plain(mono, 2))).not.toThrow(); // secondHz does nothing
    const split = new BandSplit(mono, {}, plain(mono, 3));
    expect(() => split.set({ secondHz: 100 })).toThrow('BandSplit: secondHz must be above 150 (firstHz), got 100');
    expect(split.values.secondHz).toBe(1500);
    expect(() => new BandSplit(mono, {}, plain(mono, 5))).toThrow('BandSplit: number of bands must be 2 to 4, got 5');
    expect(() => new BandSplit(mono, {}, plain(stereo, 2))).toThrow(
      'BandSplit: band 0 must have 1 channels at 48000 Hz, got 2 at 48000 Hz',
    );
    const fast = { sampleRateHz: 96_000, channels: 1 };
    expect(() => new BandSplit(mono, {}, [new Gain(mono), new Gain(fast)])).toThrow(
      'BandSplit: band 1 must have 1 channels at 48000 Hz, got 1 at 96000 Hz',
    );
    expect(() => new BandSplit(mono, { firstHz: 1500 }, plain(mono, 3))).toThrow(
      'BandSplit: secondHz must be above 1500 (firstHz), got 1500',
    );
  });
});
