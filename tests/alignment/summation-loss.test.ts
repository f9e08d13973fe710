import { describe, expect, it } from 'vitest';
import { summationLoss } from '../../src/alignment/summation-loss.ts';
import { noise } from '../support/signals.ts';

const sampleRateHz = 48_000;
const LENGTH = 96_000;
const tone = (hz: number, phase = 0): Float64Array =>
  Float64Array.from({ length: LENGTH }, (_, n) => Math.sin((2 * Math.PI * hz * n) / sampleRateHz + phase));
const late = (x: Float64Array, by: number) => Float64Array.from(x, (_, n) => (n < by ? 0 : x[n - by]));

describe('summationLoss', () => {
  it('finds nothing lost between copies, whatever their levels', () => {
    const x = noise(LENGTH, 1);
    const { bands, low, mono } = summationLoss(
      { a: x, b: x.map((v) => 0.3 * v), c: x.map((v) => 2 * v) },
      { sampleRateHz },
    );
    expect(bands).toHaveLength(29); // 25.1 to 15 849 Hz: the next middle is above 0.4 of the sample rate
    for (const band of [...bands, low, mono]) {
      expect(band.beforeDb).toBeLessThan(1e-9);
      expect(band.afterDb).toBeLessThan(1e-9);
    }
  });

  it('finds everything lost between a copy and its inverse, and nothing once one is turned', () => {
    const x = noise(LENGTH, 1);
    const { mono, bands } = summationLoss(
      { a: x, b: x.map((v) => -v) },
      { sampleRateHz, moves: { b: { delaySamples: 0, polarity: -1 } } },
    );
    for (const { beforeDb, afterDb } of [mono, ...bands]) {
      expect(beforeDb).toBe(Infinity);
      expect(afterDb).toBeLessThan(1e-9);
    }
  });

  it('loses 6.02 - 10 lg(2 (1 + rho)) between equal noises of correlation rho', () => {
    const a = noise(LENGTH, 1),
      b = noise(LENGTH, 2);
    // A tenth of a decibel: five standard errors of the correlation of so many samples.
    const loss = (other: Float64Array) => summationLoss({ a, other }, { sampleRateHz }).mono.beforeDb;
    expect(Math.abs(loss(b) - 3.0103)).toBeLessThan(0.1);
    const rho = 0.5;
    const mixed = a.map((v, n) => rho * v + Math.sqrt(1 - rho * rho) * b[n]);
    expect(Math.abs(loss(mixed) - (6.0206 - 4.7712))).toBeLessThan(0.1);
  });

  it('loses 20 lg |cos(phase / 2)| between tones of a phase, in the band of the tone', () => {
    for (const [degrees, expected] of [
      [90, 3.0103],
      [120, 6.0206],
    ]) {
      const { bands } = summationLoss({ a: tone(1000), b: tone(1000, (degrees * Math.PI) / 180) }, { sampleRateHz });
      const band = bands.find(({ frequencyHz }) => frequencyHz === 1000);
      expect(band?.beforeDb).toBeCloseTo(expected, 2); // the ends of the tones have another phase
    }
  });

  it('shows the notch of a comb filter, and its mending by the right delay', () => {
    const x = noise(LENGTH, 3);
    const { bands, low, mono } = summationLoss(
      { near: x, far: late(x, 96) }, // 2 ms: notches at 250, 750, 1250 Hz; 100 to 300 Hz are two fifths of a period
      { sampleRateHz, moves: { far: { delaySamples: -96, polarity: 1 } } },
    );
    const at = (hz: number) => bands.find(({ fromHz, toHz }) => fromHz < hz && toHz > hz);
    // Mean of cos^2(pi f dt) over the band, against 1.
    const mean = (fromHz: number, toHz: number) => {
      const integral = (f: number) => f / 2 + Math.sin(2 * Math.PI * f * 0.002) / (4 * Math.PI * 0.002);
      return (integral(toHz) - integral(fromHz)) / (toHz - fromHz);
    };
    for (const band of [at(250), at(500), low]) {
      if (!band) throw new Error('expected a band');
      expect(Math.abs(band.beforeDb + 10 * Math.log10(mean(band.fromHz, band.toHz)))).toBeLessThan(1.5); // few bins of noise
      expect(band.afterDb).toBeLessThan(0.01);
    }
    expect(mono.beforeDb).toBeCloseTo(3.01, 1);
    expect(mono.afterDb).toBeLessThan(0.01);
  });

  it('takes the faders into account: a quiet copy in the wrong polarity takes little', () => {
    const x = noise(LENGTH, 4);
    const { mono } = summationLoss({ a: x, b: x.map((v) => -v) }, { sampleRateHz, gainsDb: { b: -20 } });
    expect(mono.beforeDb).toBeCloseTo(20 * Math.log10(1.1 / 0.9), 9);
  });

  it('looks around the hits alone when it is told where they are', () => {
    const hit = noise(4000, 5),
      a = new Float64Array(LENGTH),
      b = new Float64Array(LENGTH);
    a.set(hit, 20_000);
    b.set(hit, 20_000);
    a.set(hit, 60_000);
    b.set(
      hit.map((v) => -v),
      60_000,
    );
    const loss = (hits?: number[]) => summationLoss({ a, b }, { sampleRateHz, hits }).mono.beforeDb;
    expect(loss([20_000])).toBeLessThan(1e-9);
    expect(loss([60_000])).toBeGreaterThan(100);
    // The hits stay where they are heard when a third, silent microphone makes all others late by its advance.
    const moves = { silent: { delaySamples: -30_000, polarity: 1 } } as const;
    const silent = new Float64Array(LENGTH);
    const led = summationLoss({ a, b, silent }, { sampleRateHz, moves, hits: [60_000] });
    expect(led.mono.beforeDb).toBeGreaterThan(100);
    expect(led.mono.afterDb).toBeGreaterThan(100);
    expect(loss()).toBeCloseTo(3.01, 1);
  });

  it('loses nothing of silence', () => {
    const { mono, bands } = summationLoss({ a: new Float64Array(1000), b: new Float64Array(0) }, { sampleRateHz });
    for (const { beforeDb, afterDb } of [mono, ...bands]) expect([beforeDb, afterDb]).toEqual([0, 0]);
  });

  it('counts every sample alike', () => {
    const power = (y: Float64Array) => y.reduce((sum, v) => sum + v * v, 0);
    // A click that cancels and one that does not, at any two places: the loss depends on their energies alone.
    for (const [first, second] of [
      [0, 50_000],
      [8191, 95_999],
    ]) {
      const a = new Float64Array(LENGTH),
        b = new Float64Array(LENGTH);
      a[first] = b[first] = 1;
      a[second] = 1;
      b[second] = -1;
      expect(summationLoss({ a, b }, { sampleRateHz }).mono.beforeDb).toBeCloseTo(
        10 * Math.log10((2 * power(a)) / 4) + 3.0103,
        2,
      );
    }
  });

  it('refuses moves of microphones that are not there', () => {
    const a = new Float64Array(10);
    expect(() => summationLoss({ a }, { sampleRateHz, moves: { b: { delaySamples: 0, polarity: 1 } } })).toThrow(
      'summationLoss: moves.b is unknown; the nearest name is a',
    );
  });

  it.each<[object, string]>([
    [{ gainsDb: { snares: -6 } }, 'summationLoss: gainsDb.snares is unknown; the nearest name is snare'],
    [{ gainsDb: { snare: NaN } }, 'summationLoss: gainsDb.snare must be -Infinity to 60, got NaN'],
    [{ gainsDb: { snare: 61 } }, 'summationLoss: gainsDb.snare must be -Infinity to 60, got 61'],
    [{ gainsDb: { snare: 'x' } }, 'summationLoss: gainsDb.snare must be a number from -Infinity to 60, got "x"'],
    [{ hits: [0, NaN] }, 'summationLoss: hits[1] must be 0 to 10, got NaN'],
    [{ hits: [-1] }, 'summationLoss: hits[0] must be 0 to 10, got -1'],
    [{ hits: [11] }, 'summationLoss: hits[0] must be 0 to 10, got 11'],
    [{ hits: ['4'] }, 'summationLoss: hits[0] must be a number from 0 to 10, got "4"'],
    [{ hits: 4 }, 'summationLoss: hits must be a list, got 4'],
  ])('refuses faders and hits that cannot be: %o', (options, message) => {
    const microphones = { snare: new Float64Array(10), room: new Float64Array(4) };
    expect(() => summationLoss(microphones, { sampleRateHz, ...options })).toThrow(message);
  });

  it('leaves out a microphone whose fader is at -Infinity, and takes hits at either end', () => {
    const x = noise(1000, 1);
    const { mono } = summationLoss(
      { a: x, b: x.map((v) => -v) },
      { sampleRateHz, gainsDb: { b: -Infinity }, hits: [0, 1000] },
    );
    expect(mono.beforeDb).toBeLessThan(1e-9);
  });
});
