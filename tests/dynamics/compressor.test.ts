import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { saveState } from '../../src/core/saved-state.ts';
import { Gain } from '../../src/core/gain.ts';
import { Polarity } from '../../src/core/polarity.ts';
import { Compressor, type CompressorOptions, compressorParameters } from '../../src/dynamics/compressor.ts';
import { staticCurve } from '../../src/dynamics/static-curve.ts';
import vectors from '../vectors/dynamics.json';
import { anyParameters, obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { bursts, constant, firstDifference, largestDifference, noise, sine } from '../support/signals.ts';
import { FAST_DB } from '../support/tolerances.ts';
import { amplitude, decibels, gainTrace, levels } from './dynamics-support.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const lively = {
  thresholdDb: -30,
  attackMs: 0.1,
  releaseMs: 1,
  lookaheadMs: 0.3,
  linkPercent: 50,
  mixPercent: 70,
  automaticMakeup: true,
};

describe('Compressor', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new Compressor(stereo, o),
    table: compressorParameters,
    lively,
    takesKey: true,
  });

  describe('of rms with a key filter', () => {
    obeysProcessorLaws(mono, {
      create: (o) => new Compressor(mono, { detector: 'rms', ...o }, { keyFilter: new Gain(mono, { gainDb: 6 }) }),
      table: compressorParameters,
      lively: { ...lively, rmsMs: 0.5 },
      takesKey: true,
      keyChannels: [1],
      runs: 10,
    });
  });

  it('has the static curve of Eq. (4), measured after it has settled', () => {
    // Giannoulis, Massberg, Reiss, JAES 60(6), 2012. The promise is 0.01 dB; the tables leave 1e-6 dB.
    const shapes = [
      { thresholdDb: -20, ratio: 4, kneeDb: 0 },
      { thresholdDb: -20, ratio: 4, kneeDb: 10 },
      { thresholdDb: -18, ratio: 2, kneeDb: 6 },
      { thresholdDb: -24, ratio: 8, kneeDb: 12 },
      { thresholdDb: -10, ratio: 1000, kneeDb: 6 },
      { thresholdDb: -30, ratio: 1, kneeDb: 6 },
    ];
    let worst = 0;
    for (const shape of shapes) {
      const compressor = new Compressor(mono, { ...shape, attackMs: 0.1, releaseMs: 0.1 });
      for (let db = -60; db <= 6; db += 0.5) {
        const [y] = render64(compressor, [levels([db, 200])]);
        worst = Math.max(worst, Math.abs(decibels(Math.abs(y[199])) - staticCurve(db, shape)));
      }
    }
    expect(worst).toBeLessThan(2 * FAST_DB);
  });

  it('reduces the gain as the worked example says: 9 dB asked, attack 5 ms, release 100 ms', () => {
    // Eq. (23) with Eq. (16), evaluated by another program; T -20 dB, R 4, from -40 to -8 dB and back.
    const { T, R, W, tau_attack, tau_release, sample_index, gain_reduction_dB_smooth_branching } =
      vectors.log_ff_compressor;
    const compressor = new Compressor(mono, {
      thresholdDb: T,
      ratio: R,
      kneeDb: W,
      attackMs: 1000 * tau_attack,
      releaseMs: 1000 * tau_release,
    });
    const [gainDb] = gainTrace(compressor, [levels([-40, 480], [-8, 9600], [-40, 9600])]);
    const errors = sample_index.map((n, i) => Math.abs(-gainDb[n] - gain_reduction_dB_smooth_branching[i]));
    expect(errors.length).toBe(13);
    expect(Math.max(...errors)).toBeLessThan(2 * FAST_DB);
    expect(-gainDb[480 + 239]).toBeCloseTo(9 * (1 - 1 / Math.E), 5);
    expect(-gainDb[10080 + 4799]).toBeCloseTo(9 / Math.E, 5);
  });

  it('takes its attack and release time for 63.2 % of the way in dB, to the sample, whatever the ratio', () => {
    for (const [attackMs, releaseMs, ratio] of [
      [1, 20, 2],
      [5, 100, 4],
      [30, 50, 20],
    ]) {
      const compressor = new Compressor(mono, { thresholdDb: -40, ratio, kneeDb: 0, attackMs, releaseMs });
      const loud = Math.round(48 * attackMs * 20);
      const [gainDb] = gainTrace(compressor, [levels([-60, 10], [-5, loud], [-60, 48 * releaseMs * 2])]);
      const asked = 35 * (1 / ratio - 1);
      const attacked = gainDb.findIndex((g) => g <= asked * (1 - 1 / Math.E) + 1e-6) - 10 + 1;
      const released = gainDb.findIndex((g, n) => n >= 10 + loud && g >= asked / Math.E - 1e-6) - (10 + loud) + 1;
      expect([attacked, released]).toEqual([48 * attackMs, 48 * releaseMs]);
    }
  });

  it('keeps its times and its curve when the range ends the reduction', () => {
    const compressor = new Compressor(mono, { thresholdDb: -40, ratio: 10, rangeDb: 6, attackMs: 5, releaseMs: 50 });
    const [gainDb] = gainTrace(compressor, [levels([-60, 10], [0, 9600], [-60, 4800])]);
    expect(gainDb[10 + 239]).toBeCloseTo(-6 * (1 - 1 / Math.E), 5);
    expect(gainDb[9609]).toBeCloseTo(-6, 5);
    expect(gainDb[9610 + 2399]).toBeCloseTo(-6 / Math.E, 5); // the release begins at once
  });

  describe('with a slow release', () => {
    obeysProcessorLaws(stereo, {
      create: (o) => new Compressor(stereo, o),
      table: compressorParameters,
      lively: { ...lively, slowReleaseMs: 20 },
      takesKey: true,
      runs: 6,
    });

    const options = { thresholdDb: -40, ratio: 1000, kneeDb: 0, attackMs: 0, releaseMs: 30, slowReleaseMs: 600 };

    it('gives back a hit in the release, but for a share 1 - e^(-t / slow) that takes the slow release', () => {
      for (const hitMs of [5, 50, 500, 3000]) {
        const hit = 48 * hitMs;
        const [gainDb] = gainTrace(new Compressor(mono, options), [levels([-60, 10], [0, hit], [-60, 48_000])]);
        const asked = -40 * 0.999;
        expect(gainDb[10 + hit - 1]).toBeCloseTo(asked, 4); // attack and depth are as without it
        // Two one-poles in series, of which the second begins at the full reduction: r fast, s slow, in samples.
        const [r, s] = [Math.exp(-1 / 1440), Math.exp(-1 / 28_800)];
        const share = asked * (1 - s ** hit);
        for (const n of [480, 1440, 9600, 43_200]) {
          const lasting = (m: number) => share * s ** m;
          const driven = (lasting(n) - lasting(0) * r ** n) * ((1 - r) / (1 - r / s));
          expect(gainDb[10 + hit + n - 1]).toBeCloseTo(asked * r ** n + driven, 4);
        }
      }
    });

    it('works from the moment when it is set', () => {
      const slow = { ...options, releaseMs: 5, slowReleaseMs: 100 };
      const later = new Compressor(mono, { ...slow, slowReleaseMs: 0 });
      render64(later, [levels([-60, 1280])]);
      later.set({ slowReleaseMs: 100 });
      const hit = levels([-60, 1000], [0, 2400], [-60, 1200]);
      const [gainDb] = gainTrace(later, [hit]);
      const [fromTheStart] = gainTrace(new Compressor(mono, slow), [hit]);
      expect(fromTheStart[4599]).toBeLessThan(-10);
      expect(largestDifference(gainDb, fromTheStart)).toBeLessThan(1e-6);
    });

    it('does not depend on the level, nor does it touch the attack', () => {
      const x = [levels([-60, 480], [-6, 4800], [-60, 4800], [-20, 2400], [-60, 9600])];
      const [loud] = gainTrace(new Compressor(mono, { ...options, thresholdDb: -30, attackMs: 5 }), x);
      const quiet = x.map((channel) => channel.map((v) => v * amplitude(-20)));
      const [soft] = gainTrace(new Compressor(mono, { ...options, thresholdDb: -50, attackMs: 5 }), quiet);
      expect(largestDifference(loud, soft)).toBeLessThan(2 * FAST_DB);
      const [timed] = gainTrace(
        new Compressor(mono, { ...options, thresholdDb: -30, attackMs: 5, slowReleaseMs: 0 }),
        x,
      );
      expect(firstDifference(loud.subarray(0, 5280), timed.subarray(0, 5280))).toBe(-1);
      expect(loud[9000]).toBeLessThan(timed[9000] - 1);
    });
  });

  it('passes what stays below the knee bit for bit, delayed by the look-ahead', () => {
    const compressor = new Compressor(stereo, { thresholdDb: -20, kneeDb: 10, lookaheadMs: 2, linkPercent: 30 });
    expect(compressor.latencySamples).toBe(96);
    const x = [noise(2000, 1, amplitude(-25.001)), noise(2000, 2, amplitude(-30))];
    const y = render64(compressor, x);
    for (const c of [0, 1]) {
      expect(firstDifference(y[c].subarray(96), x[c].subarray(0, 1904))).toBe(-1);
      expect(firstDifference(y[c].subarray(0, 96), constant(0, 96))).toBe(-1);
    }
  });

  it('begins to reduce the gain by its look-ahead before the hit comes out', () => {
    const options = { thresholdDb: -20, ratio: 4, kneeDb: 0, attackMs: 1, releaseMs: 50 };
    const x = levels([-60, 200], [-8, 400]);
    const [late] = gainTrace(new Compressor(mono, options), [x]);
    const [early] = gainTrace(new Compressor(mono, { ...options, lookaheadMs: 2 }), [x]);
    expect(firstDifference(early, late)).toBe(-1); // gains move when the hit enters ...
    const [y] = render64(new Compressor(mono, { ...options, lookaheadMs: 2 }), [x]);
    expect(y[199]).toBe(x[199 - 96]);
    expect(Math.abs(y[200])).toBeLessThan(Math.abs(x[200 - 96]));
    expect(decibels(y[296] / x[200])).toBeCloseTo(late[296], 5); // ... and it comes out 96 samples later
  });

  it('adds a fixed make-up, and as the automatic one half of what the curve takes from 0 dBFS', () => {
    const options = { thresholdDb: -24, ratio: 4, kneeDb: 12, attackMs: 0, releaseMs: 0 };
    const quiet = levels([-60, 8]);
    const gainOf = (more: CompressorOptions) => gainTrace(new Compressor(mono, { ...options, ...more }), [quiet])[0][7];
    expect(gainOf({ makeupDb: 7 })).toBeCloseTo(7, 5);
    expect(gainOf({ automaticMakeup: true })).toBeCloseTo(9, 5); // 24 (1 - 1/4) / 2
    expect(gainOf({ automaticMakeup: true, makeupDb: -2 })).toBeCloseTo(7, 5);
    expect(gainOf({ automaticMakeup: true, rangeDb: 4 })).toBeCloseTo(2, 5);
    // Within the knee: (1/R - 1) (24 - 22)^2 / (2 W), for a threshold at 0 dB (1/R - 1) W / 8.
    expect(gainOf({ automaticMakeup: true, thresholdDb: 0, kneeDb: 16 })).toBeCloseTo(0.75, 5);
  });

  it('mixes dry and wet sample by sample, in time; at 0 % it is the delayed input, bit for bit', () => {
    const options = { thresholdDb: -30, lookaheadMs: 1.5, attackMs: 0.5, makeupDb: 6 };
    const x = bursts(4000, 5);
    const [wet] = render64(new Compressor(mono, options), [x]);
    const [dry] = render64(new Compressor(mono, { ...options, mixPercent: 0 }), [x]);
    const [half] = render64(new Compressor(mono, { ...options, mixPercent: 25 }), [x]);
    expect(firstDifference(dry.subarray(72), x.subarray(0, 4000 - 72))).toBe(-1);
    expect(
      largestDifference(
        half,
        wet.map((w, i) => 0.25 * w + 0.75 * dry[i]),
      ),
    ).toBeLessThan(1e-15);
  });

  it('links gains in dB: own + link (lowest - own)', () => {
    const x = [levels([-8, 300]), levels([-14, 300])]; // alone: -9 dB and -4.5 dB
    const settled = (linkPercent: number) =>
      gainTrace(new Compressor(stereo, { thresholdDb: -20, ratio: 4, kneeDb: 0, attackMs: 0.1, linkPercent }), x).map(
        (row) => row[299],
      );
    for (const [linkPercent, second] of [
      [0, -4.5],
      [50, -6.75],
      [80, -8.1],
      [100, -9],
    ]) {
      expect(settled(linkPercent)[0]).toBeCloseTo(-9, 5);
      expect(settled(linkPercent)[1]).toBeCloseTo(second, 5);
    }
  });

  it('does not click when the link changes while the channels have different gains', () => {
    const compressor = new Compressor(stereo, {
      thresholdDb: -40,
      ratio: 10,
      attackMs: 1,
      releaseMs: 1000,
      linkPercent: 0,
    });
    gainTrace(compressor, [levels([0, 4800]), levels([-60, 4800])]);
    compressor.set({ linkPercent: 100 });
    const quiet = levels([-60, 4800]);
    const rows = gainTrace(compressor, [quiet, quiet]);
    // Released over 1 s, a reduction of 36 dB moves by 36 / 48000 dB per sample at most.
    for (const row of rows) {
      expect(Math.max(...row.subarray(1).map((g, i) => Math.abs(g - row[i])))).toBeLessThan(36 / 48000 + 1e-6);
    }
    expect(rows[0][0]).toBeLessThan(-30);
    expect(rows[1][0]).toBeGreaterThan(-1);
  });

  it('does not click when the key comes or goes', () => {
    const compressor = new Compressor(stereo, {
      thresholdDb: -40,
      ratio: 10,
      attackMs: 5,
      releaseMs: 100,
      linkPercent: 0,
    });
    const x = [levels([-20, 1000]), levels([-60, 1000])];
    const before = gainTrace(compressor, x);
    const keyed = gainTrace(compressor, x, [levels([-50, 1000])]);
    const after = gainTrace(compressor, x);
    const steps = [0, 1].flatMap((c) => [keyed[c][0] - before[c][999], after[c][0] - keyed[c][999]]);
    expect(Math.max(...steps.map(Math.abs))).toBeLessThan(18 * (1 - Math.exp(-1 / 240)) + 1e-6); // one step of the attack
    expect(before[0][999]).toBeLessThan(-17);
  });

  it('measures rms when told: a sine is 3.01 dB below its peak', () => {
    const options = {
      detector: 'rms',
      thresholdDb: -40,
      kneeDb: 0,
      ratio: 2,
      rmsMs: 50,
      attackMs: 20,
      releaseMs: 20,
    } as const;
    const levelDb = new Float64Array(48000),
      gainDb = new Float64Array(48000);
    new Compressor(mono, options).process([sine(48000, 1000, 48000, amplitude(-6))], [new Float64Array(48000)], {
      trace: { levelDb: [levelDb], gainDb: [gainDb] },
    });
    // 50 ms leave a ripple of 0.0138 dB from peak to peak on the level: Giannoulis et al., Eqs (9) and (10).
    expect(Math.abs(levelDb[47999] - (-6 - 10 * Math.log10(2)))).toBeLessThan(0.0138 / 2);
    expect(Math.abs(gainDb[47999] + (40 - 6 - 10 * Math.log10(2)) / 2)).toBeLessThan(0.0138 / 4);
  });

  it('takes the loudest channel for the level of all when linked, and of the key', () => {
    const options = { thresholdDb: -20, ratio: 4, kneeDb: 0, attackMs: 0, releaseMs: 0 };
    const quiet = levels([-60, 100]);
    const key = [levels([-60, 100]), levels([-8, 100]), levels([-30, 100])];
    expect(gainTrace(new Compressor(mono, options), [quiet], key)[0][99]).toBeCloseTo(-9, 5);
    const linked = gainTrace(new Compressor(stereo, options), [quiet, levels([-8, 100])]);
    expect([linked[0][99], linked[1][99]].map((g) => Math.round(g * 1e5) / 1e5)).toEqual([-9, -9]);
    const loud = levels([0, 100]);
    expect(firstDifference(render64(new Compressor(mono, options), [loud], [quiet])[0], loud)).toBe(-1); // deaf to itself
  });

  it('hears its key through the key filter, whose channels may be more than its own', () => {
    const options = {
      thresholdDb: -20,
      ratio: 4,
      kneeDb: 0,
      attackMs: 0,
      releaseMs: 0,
      detector: 'rms',
      rmsMs: 0,
    } as const;
    const compressor = new Compressor(mono, options, { keyFilter: new Gain(stereo, { gainDb: 12 }) });
    const [gainDb] = gainTrace(compressor, [levels([-60, 100])], [levels([-50, 100]), levels([-20, 100])]);
    expect(gainDb[99]).toBeCloseTo(-9, 5); // -20 + 12 = -8 dB
    expect(() => new Compressor(mono, {}, { keyFilter: new Compressor(mono, { lookaheadMs: 1 }) })).toThrow(
      'Compressor: keyFilter must have no latency and run at 48000 Hz',
    );
    const fast = { sampleRateHz: 96000, channels: 1 };
    expect(() => new Compressor(mono, {}, { keyFilter: new Gain(fast) })).toThrow(/keyFilter must .* run at 48000 Hz/);
    expect(() => compressor.process([constant(1, 8)], [new Float64Array(8)])).toThrow(
      /^Compressor: key must be of 2 channels, as its filter is/,
    );
    // Polarity must not matter: a level has no sign.
    const inverted = new Compressor(mono, options, { keyFilter: new Polarity(mono) });
    expect(gainTrace(inverted, [levels([-8, 100])])[0][99]).toBeCloseTo(-9, 5);
  });

  it('hears itself through the key filter while it has no key, and comes out unfiltered', () => {
    const options = { thresholdDb: -20, ratio: 4, kneeDb: 0, attackMs: 0, releaseMs: 0 } as const;
    const compressor = new Compressor(mono, options, { keyFilter: new Gain(mono, { gainDb: 12 }) });
    expect(compressor.takesKey).toBe(true);
    const x = levels([-20, 100]),
      y = new Float64Array(100);
    compressor.process([x], [y]);
    expect(decibels(y[99] / x[99])).toBeCloseTo(-9, 5); // -20 + 12 = -8 dB, 12 above the threshold
  });

  it('hears each channel of a key by itself, and takes the loudest level: a key of two channels on one', () => {
    // Two sines in quadrature have -3.01 dB rms each; the louder sample of the two, at each moment, would have more.
    const quadrature = [0, Math.PI / 2].map((phase) => sine(48_000, 1000, 48_000, 1, phase));
    const options = { thresholdDb: -80, ratio: 1, detector: 'rms', rmsMs: 50 } as const;
    const levelDb = new Float64Array(48_000);
    new Compressor(mono, options).process([constant(1, 48_000)], [new Float64Array(48_000)], {
      key: quadrature,
      trace: { levelDb: [levelDb] },
    });
    expect(levelDb[47_999]).toBeCloseTo(-3.01, 1);
  });

  it('traces the level of the sample that comes out, make-up in the gain, and silence as -200 dB', () => {
    const compressor = new Compressor(mono, {
      thresholdDb: -20,
      lookaheadMs: 1,
      attackMs: 0,
      releaseMs: 0,
      makeupDb: 3,
    });
    const x = constant(0, 200).fill(0.01, 100, 150);
    const levelDb = new Float64Array(200),
      gainDb = new Float64Array(200);
    compressor.process([x], [new Float64Array(200)], { trace: { levelDb: [levelDb], gainDb: [gainDb] } });
    expect([levelDb[147], levelDb[198]]).toEqual([-200, -200]);
    expect([levelDb[148], levelDb[197]].map((l) => Math.abs(l + 40) < 1e-5)).toEqual([true, true]);
    expect(Math.max(...gainDb.map((g) => Math.abs(g - 3)))).toBeLessThan(1e-5);
  });

  it('keeps the gain between -range and 0 dB and the polarity, whatever comes', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1e9 }),
        anyParameters(compressorParameters, 48000, false),
        (seed, options) => {
          const compressor = new Compressor(stereo, { ...options, makeupDb: 0, automaticMakeup: false });
          const rows = gainTrace(compressor, [bursts(1000, seed), bursts(1000, seed + 1)]);
          const floor = -(options.rangeDb ?? 120) - 1e-5;
          return rows.every((row) => row.every((g) => g <= 1e-9 && g >= floor));
        },
      ),
    );
  });

  it('glides to a new threshold, ratio and knee without passing the gains of both', () => {
    const from = { thresholdDb: -30, ratio: 2, kneeDb: 1 },
      to = { thresholdDb: -30, ratio: 8, kneeDb: 30 };
    const compressor = new Compressor(mono, { ...from, attackMs: 0, releaseMs: 0 });
    const x = levels([-27, 2000]);
    render64(compressor, [x]);
    compressor.set(to);
    const [gainDb] = gainTrace(compressor, [x]);
    const ends = [staticCurve(-27, from) + 27, staticCurve(-27, to) + 27];
    expect(Math.min(...gainDb)).toBeGreaterThan(Math.min(...ends) - 0.5);
    expect(Math.max(...gainDb)).toBeLessThan(Math.max(...ends) + 1e-5);
    expect(gainDb[1999]).toBeCloseTo(ends[1], 5);
  });

  it('comes to rest at exactly 0 dB in silence, without denormal numbers', () => {
    const compressor = new Compressor(mono, { detector: 'rms', releaseMs: 1, rmsMs: 1 });
    render64(compressor, [noise(1000)]);
    render64(compressor, [constant(0, 96_000)]);
    const left = saveState(compressor).arrays.flat().map(Number).map(Math.abs);
    expect(left.filter((v) => v > 0 && v < 1e-30)).toEqual([]);
  });

  it('refuses what is out of range, by name', () => {
    expect(() => new Compressor(mono, { attackMs: -3 })).toThrow(
      new RangeError('Compressor: attackMs must be 0 to 1000, got -3'),
    );
    expect(() => new Compressor(mono, { ratio: Infinity })).toThrow(
      /Compressor: ratio must be 1 to 1000, got Infinity/,
    );
    expect(() => new Compressor(mono, { detector: 'mean' as never })).toThrow(/detector must be peak or rms/);
    expect(() => new Compressor(mono, { treshold: 1 } as never)).toThrow(/nearest name is thresholdDb/);
  });
});
