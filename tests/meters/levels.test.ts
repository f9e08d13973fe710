import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { FLACDecoder } from '@wasm-audio-decoders/flac';
import { describe, expect, it } from 'vitest';
import { hitPunch } from '../../src/meters/hit-punch.ts';
import { LevelMeter } from '../../src/meters/level-meter.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { measureLevels, type ProgrammeFigures, ProgrammeMeter } from '../../src/meters/programme-meter.ts';
import { constant, impulse, noise, numbers, sine, toFloat32 } from '../support/signals.ts';
import vectors from '../vectors/drum_loudness.json';

const RATE = 48000;

function levelOf(x: Float64Array | Float32Array) {
  const meter = new LevelMeter({ sampleRateHz: RATE, channels: 1 });
  meter.process([x] as Float64Array[]);
  return { ...meter.channelLevels[0], nonFiniteSamples: meter.nonFiniteSamples };
}

/** Every number in an object, however deep. */
function allNumbers(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(allNumbers) : [];
}

describe('LevelMeter', () => {
  it('knows the crest factors in closed form', () => {
    const period = (f: (turns: number) => number) =>
      Float64Array.from({ length: 48_000 }, (_, n) => f(((n + 0.5) % 4800) / 4800));
    const at = (t: number) => Math.sin(2 * Math.PI * t);
    const cases: readonly (readonly [string, Float64Array, number])[] = [
      ['square', period((t) => (t < 0.5 ? 1 : -1)), 0],
      ['sine', period(at), 3.0103],
      ['full-wave rectified sine', period((t) => Math.abs(at(t))), 3.0103],
      ['half-wave rectified sine', period((t) => Math.max(0, at(t))), 6.0206],
      ['triangle', period((t) => 1 - 4 * Math.abs(t - 0.5)), 4.7712],
      ['sawtooth', period((t) => 2 * t - 1), 4.7712],
      ['pulses, duty 1 %', period((t) => (t < 0.01 ? 1 : 0)), 20],
      ['pulses, duty 1/8', period((t) => (t < 0.125 ? 1 : 0)), 9.0309],
    ];
    // 4800 samples to the period: the peak may be missed by half a step of 1/4800, which costs the sawtooth 0.002 dB.
    for (const [name, x, crestDb] of cases) {
      expect(Math.abs((levelOf(x).crestDb ?? NaN) - crestDb), name).toBeLessThan(0.004);
    }
    const twoSines = sine(480_000, 1000, RATE).map((v, n) => v + Math.sin(n * Math.SQRT2 * 0.1));
    expect(levelOf(twoSines).crestDb).toBeCloseTo(6.0206, 2);
  });

  it('tells both conventions of rms apart', () => {
    const full = sine(48_000, 997, RATE);
    expect(levelOf(full).rmsDb).toBeCloseTo(-3.0103, 3);
    expect(levelOf(full).rmsAes17Db).toBeCloseTo(0, 3);
    const square = full.map(Math.sign);
    expect(levelOf(square).rmsAes17Db).toBeCloseTo(3.0103, 3);
  });

  it('finds DC', () => {
    expect(levelOf(sine(48_000, 1000, RATE, 0.5).map((v) => v + 0.01)).dcOffset).toBeCloseTo(0.01, 12);
  });

  it('counts clipped runs of three samples and more, of one sign', () => {
    const x = constant(0, 1000);
    x.fill(1, 10, 12); // two: not clipped
    x.fill(1, 20, 23); // three
    x.fill(-1, 23, 27); // four of the other sign
    x.fill(1, 27, 30); // three of the first again
    x.fill(32767 / 32768, 120, 130); // ten, over the end of a piece
    x.fill(0.9999, 200, 300);
    expect(levelOf(x)).toMatchObject({ clippedRuns: 4, clippedSamples: 20, longestClippedRun: 10 });
    expect(levelOf(toFloat32(constant(1, 500)))).toMatchObject({ clippedRuns: 1, clippedSamples: 500 });
    expect(levelOf(constant(1, 500))).toMatchObject({ longestClippedRun: 500, crestDb: 0, rmsDb: 0 });
  });
});

describe('hitPunch', () => {
  it('reads decays as the closed form says, and a steady sound as 0 dB', () => {
    const hits = [0.1, 0.6, 1.1];
    for (const tauMs of [5, 20, 80]) {
      // White at first sight, but of constant envelope: the sign alternates at random, so the power decays exactly.
      const next = numbers(1);
      const x = Float64Array.from({ length: 72_000 }, (_, n) => {
        const since = (((n / RATE - 0.1) % 0.5) + 0.5) % 0.5;
        return (next() < 0.5 ? -1 : 1) * Math.exp((-1000 * since) / (2 * tauMs));
      });
      const mean = (from: number, to: number) =>
        (tauMs / (to - from)) * (Math.exp(-from / tauMs) - Math.exp(-to / tauMs));
      const expected = 10 * Math.log10(mean(0, 20) / mean(20, 170));
      const { hitsDb, medianDb } = hitPunch([x, x], RATE, hits);
      for (const ratio of hitsDb) expect(ratio).toBeCloseTo(expected, 1);
      expect(medianDb).toBeCloseTo(expected, 1);
    }
    expect(hitPunch([sine(72_000, 1000, RATE)], RATE, [0.5]).medianDb).toBeCloseTo(0, 6);
  });

  it('does not judge a hit whose sustain is cut off, or silence', () => {
    const x = noise(48_000, 1);
    expect(hitPunch([x], RATE, [0.1, 0.13, 0.5, 0.99]).hitsDb.map((ratio) => ratio === null)).toEqual([
      true,
      false,
      false,
      true,
    ]);
    expect(hitPunch([constant(0, 48_000)], RATE, [0.1])).toEqual({ hitsDb: [null], medianDb: null });
    expect(hitPunch([x], RATE, [])).toEqual({ hitsDb: [], medianDb: null });
    expect(() => hitPunch([x], RATE, [0.5, 0.4])).toThrow('hitPunch: hitSeconds[1] must be 0.5 to 1, got 0.4');
    expect(() => hitPunch([x], RATE, [0.1], { transientMs: 0 })).toThrow(RangeError);
  });
});

describe('long-term transient-to-sustain ratio', () => {
  const ratio = (x: Float64Array) => measureLevels([x], RATE).transientToSustainDb ?? NaN;

  it('is 0 for a steady sound, 13 dB for clicks, and does not depend on the level', () => {
    expect(ratio(sine(144_000, 1000, RATE))).toBeCloseTo(0, 2);
    const clicks = constant(0, 240_000).map((_, n) => (n % 24_000 === 12_000 ? 1 : 0));
    expect(ratio(clicks)).toBeGreaterThan(12.9);
    expect(ratio(clicks)).toBeLessThanOrEqual(10 * Math.log10(20) + 1e-9);
    expect(ratio(clicks.map((v) => 0.01 * v))).toBeCloseTo(ratio(clicks), 9);
  });

  it('looks as far back as ahead: a sound played backwards reads the same', () => {
    const x = sine(240_000, 1000, RATE).map((v, n) => v * Math.exp(-(n % 24_000) / 3000));
    expect(Math.abs(ratio(x) - ratio(x.slice().reverse()))).toBeLessThan(0.1);
    expect(ratio(x)).toBeGreaterThan(3);
  });

  it('falls as hits ring longer', () => {
    const hits = (tau: number) => noise(240_000, 1).map((v, n) => v * Math.exp(-(n % 24_000) / tau));
    const ratios = [300, 1000, 3000, 10_000].map((tau) => ratio(hits(tau)));
    for (let i = 1; i < ratios.length; i++) expect(ratios[i]).toBeLessThan(ratios[i - 1] - 0.5);
  });
});

describe('measureLevels', () => {
  const bad: Readonly<Record<string, readonly Float64Array[] | readonly Float32Array[]>> = {
    nothing: [new Float64Array(0)],
    silence: [constant(0, 150_000), constant(0, 150_000)],
    'one sample': [Float64Array.of(0.5)],
    'eight channels': Array.from({ length: 8 }, (_, c) => noise(150_000, c + 1)),
    'NaN samples': [noise(150_000, 1).map((v, n) => (n % 7 === 0 ? NaN : v)), constant(Infinity, 150_000)],
    'all clipped': [toFloat32(constant(1, 150_000)), toFloat32(constant(-1, 150_000))],
    'far too loud': [noise(150_000, 1, 1e6)],
    'next to nothing': [noise(150_000, 1, 1e-300)],
  };
  it.each(Object.entries(bad))('has sensible figures and no NaN for %s', (name, x) => {
    const figures = measureLevels(x, RATE);
    const all = allNumbers(figures);
    expect(all.length).toBeGreaterThan(100);
    expect(all.filter((value) => Number.isNaN(value) || value === Infinity)).toEqual([]);
    expect(figures.truePeakDb).toBeGreaterThanOrEqual(figures.samplePeakDb);
    const expected: Readonly<Record<string, Partial<ProgrammeFigures>>> = {
      nothing: { frames: 0, samplePeakDb: -Infinity, crestDb: null, integratedLufs: -Infinity, rangeLu: null },
      silence: { rmsDb: -Infinity, peakToLoudnessDb: null, correlation: null, transientToSustainDb: null },
      'one sample': { crestDb: 0, integratedLufs: -Infinity, peakToLoudnessDb: null },
      'eight channels': { correlation: null, nonFiniteSamples: 0 },
      'NaN samples': { nonFiniteSamples: 171_429, correlation: null },
      'all clipped': { clippedRuns: 2, clippedSamples: 300_000, correlation: -1, rmsDb: 0, crestDb: 0 },
    };
    expect(figures).toMatchObject(expected[name] ?? {});
  });

  it('puts the single meters together, and gives the same figures however the signal is cut', () => {
    const x = [noise(150_000, 1), noise(150_000, 2, 0.5)];
    const meter = new ProgrammeMeter({ sampleRateHz: RATE, channels: 2 });
    meter.process(x, 0, 5000);
    meter.reset();
    const next = numbers(2);
    for (let start = 0; start < 150_000;) {
      const end = Math.min(150_000, start + Math.floor(9000 * next()));
      meter.process(x, start, end);
      start = end;
    }
    const figures = measureLevels(x, RATE);
    expect(meter.figures).toEqual(figures);
    expect(figures.integratedLufs).toBe(measureLoudness(x, RATE));
    expect(figures.peakToLoudnessDb).toBeCloseTo(figures.truePeakDb - figures.integratedLufs, 12);
    expect(figures.channelLevels[1].samplePeakDb).toBeCloseTo(-6.02, 2);
    expect(figures.channelLevels[0].truePeakDb).toBe(figures.truePeakDb);
  });

  it('reads an impulse as what it is', () => {
    const figures = measureLevels([impulse(48_000, 24_000, 0.5)], RATE);
    expect(figures).toMatchObject({ clippedRuns: 0, nonFiniteSamples: 0 });
    expect(figures.truePeakDb).toBeCloseTo(-6.0206, 4);
    expect(figures.crestDb).toBeCloseTo(10 * Math.log10(48_000), 9);
  });
});

describe('recorded drums', () => {
  it('read as libebur128 and ffmpeg read them', async () => {
    const samples = join(
      dirname(createRequire(import.meta.url).resolve('supersonic-scsynth-samples/package.json')),
      'samples',
    );
    const decoder = new FLACDecoder();
    await decoder.ready;
    for (const [name, expected] of Object.entries(vectors.readings)) {
      const { channelData } = await decoder.decodeFile(readFileSync(join(samples, `${name}.flac`)));
      await decoder.reset();
      const times = Math.round(expected.frames / channelData[0].length);
      const x = channelData.map((one) =>
        Float32Array.from({ length: times * one.length }, (_, n) => one[n % one.length]),
      );
      expect(x[0].length, name).toBe(expected.frames);
      const figures = measureLevels(x, expected.sampleRateHz);
      const { libebur128, ffmpeg } = expected;
      // libebur128 keeps the numerator of the second filter stage at every rate: 0.004 LU higher at 44.1 kHz.
      expect(Math.abs(figures.integratedLufs - libebur128.I), name).toBeLessThan(0.02);
      expect(Math.abs(figures.integratedLufs - ffmpeg.I), name).toBeLessThanOrEqual(0.07); // one decimal
      expect(Math.abs(figures.maximumMomentaryLufs - libebur128.maxM), name).toBeLessThan(0.02);
      expect(Math.abs(figures.maximumShortTermLufs - libebur128.maxS), name).toBeLessThan(0.02);
      figures.channelLevels.forEach((level, c) => {
        // Decoders divide 16-bit samples by 32767 or by 32768: 0.0003 dB.
        expect(Math.abs(level.samplePeakDb - libebur128.SP[c]), name).toBeLessThan(0.0005);
        // Theirs interpolates with 49 taps at four times the rate, which can miss 0.69 dB.
        expect(level.truePeakDb - libebur128.TP[c], name).toBeGreaterThan(-0.05);
        expect(level.truePeakDb - libebur128.TP[c], name).toBeLessThan(0.69);
      });
      // They take windows at other times (every second, and from the start on): 0.3 LU on a few seconds of drums.
      expect(Math.abs((figures.rangeLu ?? NaN) - ffmpeg.LRA), name).toBeLessThan(0.3);
    }
    decoder.free();
  });
});
