import { describe, expect, it } from 'vitest';
import { measureDecay } from '../../src/reverb/decay-measurement.ts';
import reverb from '../vectors/reverb.json';
import { impulse, noise } from '../support/signals.ts';

const RATE = 48000;

/** A response whose energy within each sample is that of a continuous decay: E(t) is exact at the samples. */
const withEnergy = (seconds: number, remaining: (t: number) => number): Float64Array =>
  Float64Array.from({ length: seconds * RATE }, (_, n) => Math.sqrt(remaining(n / RATE) - remaining((n + 1) / RATE)));

describe('measureDecay', () => {
  it.each(reverb.exp_decay)(
    'of an exponential decay of $T s is the closed form',
    ({ T, C50, C80, D50, Ts_ms, EDT }) => {
      const m = measureDecay(
        withEnergy(Math.ceil(2.5 * T), (t) => 10 ** ((-6 * t) / T)), // to -150 dB
        RATE,
      );
      for (const seconds of [m.edtSeconds, m.t20Seconds, m.t30Seconds]) expect(seconds / EDT).toBeCloseTo(1, 6);
      expect(m.c50Db).toBeCloseTo(C50, 4);
      expect(m.c80Db).toBeCloseTo(C80, 4);
      expect(m.d50).toBeCloseTo(D50, 5);
      // The energy of a sample counts at its beginning: half a sample early.
      expect(m.centreTimeSeconds * 1000 + 500 / RATE).toBeCloseTo(Ts_ms, 3);
    },
  );

  it('of two slopes is the published least-squares result', () => {
    const { T1, T2, EDT, T20, T30 } = reverb.double_slope;
    // The vector's energy response is h^2, 4 s long.
    const h = Float64Array.from({ length: 4 * RATE }, (_, n) =>
      Math.sqrt(10 ** ((-6 * n) / RATE / T1) + 0.01 * 10 ** ((-6 * n) / RATE / T2)),
    );
    const m = measureDecay(h, RATE);
    expect([m.edtSeconds / EDT, m.t20Seconds / T20, m.t30Seconds / T30].map((r) => Math.abs(r - 1) < 1e-3)).toEqual([
      true,
      true,
      true,
    ]);
  });

  it('of noise that decays is the decay within its spread', () => {
    const white = noise(2 * RATE, 7);
    const m = measureDecay(
      white.map((x, n) => x * 10 ** ((-3 * n) / RATE / 0.8)),
      RATE,
    );
    expect(Math.abs(m.t30Seconds / 0.8 - 1)).toBeLessThan(0.02); // 24 kHz wide: some 10 000 independent samples
  });

  it('does not depend on level, sign or number format, and scales with the sample rate', () => {
    const h = noise(RATE, 9).map((x, n) => x * 10 ** ((-3 * n) / RATE / 0.5));
    const m = measureDecay(h, RATE);
    const halved = measureDecay(
      h.map((x) => -x / 2),
      RATE,
    );
    expect(halved).toEqual(m);
    expect(measureDecay(Float32Array.from(h), RATE).t30Seconds).toBeCloseTo(m.t30Seconds, 6);
    expect(measureDecay(h, 2 * RATE).t30Seconds).toBeCloseTo(m.t30Seconds / 2, 12);
  });

  it('of a single impulse is 0 s, all of it early', () => {
    expect(measureDecay(impulse(9600), RATE)).toEqual({
      edtSeconds: 0,
      t20Seconds: 0,
      t30Seconds: 0,
      c50Db: Infinity,
      c80Db: Infinity,
      d50: 1,
      centreTimeSeconds: 0,
    });
  });

  it('refuses silence, nothing, and what is not finite', () => {
    const message = /impulseResponse must have finite energy above 0, got/;
    expect(() => measureDecay(new Float64Array(100), RATE)).toThrow(message);
    expect(() => measureDecay(new Float64Array(0), RATE)).toThrow(RangeError);
    expect(() => measureDecay(Float64Array.of(1, NaN), RATE)).toThrow(message);
    expect(() => measureDecay(impulse(4), 0)).toThrow('measureDecay: sampleRateHz must be 1 to 1000000000, got 0');
  });
});
