import { describe, expect, it } from 'vitest';
import { thirdOctaveBands } from '../../src/core/third-octaves.ts';
import { erbBands, erbFrequency, erbNumber, erbWidthHz } from '../../src/meters/erb-bands.ts';
import { correlation } from '../../src/meters/correlation.ts';
import { bandSpectrum, SpectrumMeter } from '../../src/meters/spectrum.ts';
import { aWeightingDb, cWeightingDb } from '../../src/meters/weighting.ts';
import { constant, impulse, noise, numbers, rms, sine } from '../support/signals.ts';
import { STANDARD_ERRORS } from '../support/tolerances.ts';
import { bandFixture } from '../support/band-fixture.ts';
import perception from '../vectors/perception.json';
import vectors from '../vectors/band_spectrum.json';

const RATE = 48000;

describe('bandSpectrum', () => {
  it.each([
    ['third octaves', thirdOctaveBands(19.9, 20_000), vectors.thirdOctaves],
    ['ERB bands', erbBands(), vectors.erb],
  ])('agrees with scipy in %s', (_, bands, expected) => {
    const levels = bandSpectrum(bandFixture(), RATE, bands);
    expect(levels.length).toBe(expected.length);
    expect(bandSpectrum([new Float64Array(1)], RATE).length).toBe(31); // unless others are asked for
    levels.forEach((band, i) => {
      expect(band.fromHz / expected[i].lowerHz).toBeCloseTo(1, 12);
      expect(band.toHz / expected[i].upperHz).toBeCloseTo(1, 12);
      expect(Math.abs(band.levelDb - expected[i].levelDb)).toBeLessThan(1e-6); // 0.05 dB are asked for
      expect(Math.abs((band.correlation ?? NaN) - expected[i].correlation)).toBeLessThan(1e-6);
      expect(Math.abs((band.width ?? NaN) - expected[i].width)).toBeLessThan(1e-6);
    });
  });

  it('agrees with steep band-pass filters, another method, within 0.5 dB on broadband bands', () => {
    // Their skirts take in a little of the neighbours, which in the low bands of this signal are louder.
    const levels = bandSpectrum(bandFixture(), RATE);
    for (const { centreHz, levelDb } of vectors.filtered) {
      const band = levels.find((b) => Math.abs(b.frequencyHz / centreHz - 1) < 1e-3);
      expect(Math.abs((band?.levelDb ?? NaN) - levelDb)).toBeLessThan(0.5);
    }
  });

  it('adds up to the mean square, wherever in a frame the sound is', () => {
    const whole = [{ fromHz: 0, toHz: RATE / 2 }];
    for (const x of [noise(50_000, 1), impulse(5000, 0), impulse(40_000, 39_999), noise(100, 2)]) {
      expect(bandSpectrum([x], RATE, whole)[0].levelDb).toBeCloseTo(20 * Math.log10(rms(x)), 9);
    }
  });

  it('shows white noise 1 dB higher in each next third octave, and a sine in its own alone', () => {
    const levels = bandSpectrum([noise(480_000, 3)], RATE).slice(-15);
    for (let i = 1; i < levels.length; i++) {
      // Power follows bandwidth: 10^(1/10). About 2 T B independent numbers: T = 10 s, B = a quarter of the centre.
      const tolerance = STANDARD_ERRORS * 4.34 * Math.sqrt(2 / (10 * 0.23 * levels[i - 1].frequencyHz));
      expect(Math.abs(levels[i].levelDb - levels[i - 1].levelDb - 1)).toBeLessThan(tolerance);
    }
    const tone = bandSpectrum([sine(240_000, 1000, RATE)], RATE);
    const at = tone.findIndex((band) => band.frequencyHz === 1000);
    expect(tone[at].levelDb).toBeCloseTo(-3.0103, 2); // its sudden start and end spread a little of it
    for (const [i, band] of tone.entries()) if (i !== at) expect(band.levelDb).toBeLessThan(-40);
  });

  it('is the root of the mean power over the channels: a sound in one of two reads 3.01 dB lower, not half', () => {
    const x = sine(240_000, 1000, RATE);
    const at = (channels: Float64Array[]) => bandSpectrum(channels, RATE)[17].levelDb;
    expect(at([x, x])).toBeCloseTo(-3.01, 2);
    expect(at([x, new Float64Array(x.length)])).toBeCloseTo(-6.02, 2);
  });

  it('tells the width of each band: mono 0, unrelated 1/2, opposite 1', () => {
    const [a, b] = [noise(200_000, 4), noise(200_000, 5)];
    const at = (x: Float64Array[]) => bandSpectrum(x, RATE)[17];
    expect(at([a, a]).width).toBeCloseTo(0, 9);
    expect(at([a, a.map((v) => -v)]).width).toBeCloseTo(1, 9);
    expect(Math.abs((at([a, b]).width ?? NaN) - 0.5)).toBeLessThan(0.15);
    expect(at([a, constant(0, 200_000)])).toMatchObject({ correlation: null });
    expect(at([a, constant(0, 200_000)]).width).toBeCloseTo(0.5, 9);
    expect(at([a])).toMatchObject({ correlation: null, width: null });
  });

  it('gives the same figures however the signal is cut, at any time, and after a reset', () => {
    const x = bandFixture();
    const meter = new SpectrumMeter({ sampleRateHz: RATE, channels: 2 });
    meter.process(x, 0, 30_000);
    meter.reset();
    const next = numbers(1);
    for (let start = 0; start < 100_000;) {
      const end = Math.min(100_000, start + Math.floor(20_000 * next()));
      meter.process(x, start, end);
      if (next() < 0.3) meter.levels();
      start = end;
    }
    expect(meter.levels()).toEqual(bandSpectrum(x, RATE));
  });

  it('has no level in silence, and ignores what is no number', () => {
    expect(bandSpectrum([constant(0, 10)], RATE)[5]).toMatchObject({
      levelDb: -Infinity,
      correlation: null,
      width: null,
    });
    expect(bandSpectrum([new Float64Array(0)], RATE)[5].levelDb).toBe(-Infinity);
    const x = noise(1000, 1);
    const bad = x.map((v, n) => (n === 500 ? NaN : v));
    const zero = x.map((v, n) => (n === 500 ? 0 : v));
    expect(bandSpectrum([bad], RATE)).toEqual(bandSpectrum([zero], RATE));
  });
});

describe('correlation', () => {
  it('agrees with numpy', () => {
    const [left, right] = bandFixture();
    expect(correlation(left, right)).toBeCloseTo(vectors.correlation, 12);
  });

  it('is 1 for a copy, -1 for an opposite one, 0 for sine and cosine, and none for silence', () => {
    const x = sine(48_000, 1000, RATE),
      y = sine(48_000, 1000, RATE, 0.3, Math.PI / 2);
    expect(
      correlation(
        x,
        x.map((v) => 3 * v),
      ),
    ).toBeCloseTo(1, 14);
    expect(
      correlation(
        x,
        x.map((v) => -v),
      ),
    ).toBeCloseTo(-1, 14);
    expect(correlation(x, y)).toBeCloseTo(0, 12);
    expect(correlation(x, constant(0, 48_000))).toBeNull();
    // Sines d apart in phase: the cosine of d.
    expect(correlation(x, sine(48_000, 1000, RATE, 1, 1))).toBeCloseTo(Math.cos(1), 12);
  });
});

describe('bands', () => {
  it('follow the ERB scale of Glasberg and Moore', () => {
    for (const row of perception.scale) {
      expect(erbNumber(row.f)).toBeCloseTo(row.ERB_number, 5);
      expect(erbWidthHz(row.f)).toBeCloseTo(row.ERB_Hz, 3);
      expect(erbFrequency(erbNumber(row.f)) / row.f).toBeCloseTo(1, 12);
    }
    const bands = erbBands();
    expect(bands.length).toBe(41);
    for (let i = 1; i < bands.length; i++) expect(bands[i].fromHz).toBe(bands[i - 1].toHz);
    // A band is as wide as the filter at its centre, but for the rounding of 21.4 (exactly 21.332).
    expect((bands[20].toHz - bands[20].fromHz) / erbWidthHz(bands[20].frequencyHz)).toBeCloseTo(1, 2);
  });
});

describe('weighting', () => {
  it('is the table of IEC 61672-1 at all 34 third octaves', () => {
    expect(perception.third_octave.length).toBe(34);
    for (const { exact, A_table, C_table, A_calc, C_calc } of perception.third_octave) {
      // The table has one decimal; one of its values is a tie that was rounded away from zero.
      expect(Math.abs(aWeightingDb(exact) - A_table)).toBeLessThan(0.0505);
      expect(Math.abs(cWeightingDb(exact) - C_table)).toBeLessThan(0.0505);
      // Another calculation, which normalises by a constant of two or three decimals.
      expect(Math.abs(aWeightingDb(exact) - A_calc)).toBeLessThan(0.002);
      expect(Math.abs(cWeightingDb(exact) - C_calc)).toBeLessThan(0.002);
    }
    expect(aWeightingDb(1000)).toBe(0);
    expect(() => aWeightingDb(0)).toThrow('aWeightingDb: frequencyHz must be 0.001 to 1000000, got 0');
  });
});
