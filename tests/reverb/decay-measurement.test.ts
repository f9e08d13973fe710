import { describe, expect, it } from 'vitest';
import { measureDecay, measureOctaveDecays } from '../../src/reverb/decay-measurement.ts';
import { echoDensity } from '../../src/reverb/echo-density.ts';
import { findNoiseFloor } from '../../src/reverb/noise-floor.ts';
import { octaveBands, octaveCentresHz } from '../../src/reverb/octave-bands.ts';
import reverb from '../vectors/reverb.json';
import { decayingNoise } from '../support/decaying-noise.ts';
import { impulse, noise, numbers } from '../support/signals.ts';

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

  it('fits its line through the levels between two values, both of them included', () => {
    // Integrated backwards 10, 1, 0: levels of 0 and -10 dB, and one step between them.
    expect(measureDecay(Float64Array.of(3, 1), 10).edtSeconds).toBeCloseTo(6 / 10, 12);
    // Levels of 0, -4, -5 and -9 dB; by hand, (-1.5 0 - 0.5 -4 + 0.5 -5 + 1.5 -9) / 5 is a slope of -2.8 dB.
    const energy = [0, -4, -5, -9, -Infinity].map((db) => 10 ** (db / 10));
    const h = Float64Array.from({ length: 4 }, (_, n) => Math.sqrt(energy[n] - energy[n + 1]));
    expect(measureDecay(h, 10).edtSeconds).toBeCloseTo(60 / 2.8 / 10, 9);
  });

  it('of a response shorter than its limits has all of its energy early', () => {
    const m = measureDecay(noise(100, 4), 8000);
    expect([m.c50Db, m.c80Db, m.d50]).toEqual([Infinity, Infinity, 1]);
  });

  it('refuses silence, nothing, and what is not finite', () => {
    const message = /impulseResponse must have finite energy above 0, got/;
    expect(() => measureDecay(new Float64Array(100), RATE)).toThrow(message);
    expect(() => measureDecay(new Float64Array(0), RATE)).toThrow(RangeError);
    expect(() => measureDecay(Float64Array.of(1, NaN), RATE)).toThrow(message);
    expect(() => measureDecay(Float64Array.of(1e200, 1), RATE)).toThrow(message); // its square is beyond every number
    expect(() => measureDecay(impulse(4), RATE, { compensateNoise: 1 } as never)).toThrow(
      'measureDecay: compensateNoise must be',
    );
    expect(() => measureDecay(impulse(4), 0)).toThrow('measureDecay: sampleRateHz must be 1 to 1000000000, got 0');
  });
});

describe('measureDecay with noise compensation', () => {
  const decaying = (seconds: number, seed: number): Float64Array =>
    noise(3 * RATE, seed).map((x, n) => x * 10 ** ((-3 * n) / RATE / seconds));
  const noisy = (h: Float64Array, noiseDb: number, seed: number): Float64Array => {
    const floor = noise(h.length, seed, 10 ** (noiseDb / 20));
    return h.map((x, n) => x + floor[n]);
  };

  it.each([0.4, 0.8, 1.5])('finds a decay of %f s under noise at -50 dB, where plain integration does not', (T) => {
    const clean = decaying(T, 3);
    const h = noisy(clean, -50, 4);
    const truth = measureDecay(clean, RATE);
    const m = measureDecay(h, RATE, { compensateNoise: true });
    // The least-squares line through one noise response scatters by about 1 %; both share the response.
    expect(Math.abs(m.t30Seconds / truth.t30Seconds - 1)).toBeLessThan(0.02);
    expect(Math.abs(m.t20Seconds / truth.t20Seconds - 1)).toBeLessThan(0.01);
    expect(Math.abs(m.edtSeconds / truth.edtSeconds - 1)).toBeLessThan(0.005);
    expect(Math.abs(m.c80Db - truth.c80Db)).toBeLessThan(0.02);
    expect(Math.abs(m.centreTimeSeconds / truth.centreTimeSeconds - 1)).toBeLessThan(0.005);
    expect(measureDecay(h, RATE).t30Seconds / T).toBeGreaterThan(1.05);
  });

  it('continues the decay behind the crossing: what is taken off and put there is the closed form', () => {
    // The noise is found within 0.4 %, and lies 25 dB below what is fitted.
    const T = 0.5;
    const h = Float64Array.from({ length: 16000 }, (_, n) => Math.sqrt(10 ** ((-6 * n) / 8000 / T) + 1e-6));
    const m = measureDecay(h, 8000, { compensateNoise: true });
    for (const seconds of [m.edtSeconds, m.t20Seconds, m.t30Seconds])
      expect(Math.abs(seconds / T - 1)).toBeLessThan(1e-3);
    // T30 ends 2 dB above this noise, where what lies behind the crossing weighs: left out, T30 would be 4 % short.
    const loud = h.map((x) => Math.sqrt(x * x + 2e-4));
    expect(Math.abs(measureDecay(loud, 8000, { compensateNoise: true }).t30Seconds / T - 1)).toBeLessThan(0.02);
  });

  it('leaves ideal decays and those of two slopes alone, within 0.5 %', () => {
    const single = withEnergy(2, (t) => 10 ** ((-6 * t) / 0.8));
    const m = measureDecay(single, RATE, { compensateNoise: true });
    for (const seconds of [m.edtSeconds, m.t20Seconds, m.t30Seconds])
      expect(Math.abs(seconds / 0.8 - 1)).toBeLessThan(0.005);
    const { T1, T2, EDT, T20, T30 } = reverb.double_slope;
    const double = Float64Array.from({ length: 4 * RATE }, (_, n) =>
      Math.sqrt(10 ** ((-6 * n) / RATE / T1) + 0.01 * 10 ** ((-6 * n) / RATE / T2)),
    );
    const d = measureDecay(double, RATE, { compensateNoise: true });
    const faults = [d.edtSeconds / EDT, d.t20Seconds / T20, d.t30Seconds / T30].map((r) => Math.abs(r - 1));
    expect(Math.max(...faults)).toBeLessThan(0.005);
  });

  it('finds level and crossing of the noise', () => {
    const { noisePower, crossingSeconds, decaySeconds } = findNoiseFloor(noisy(decaying(1, 5), -40, 6), RATE);
    // Power of even noise of amplitude a: a^2 / 3. The decay meets its own noise after 40 dB.
    expect(Math.abs(10 * Math.log10(noisePower * 3) + 40)).toBeLessThan(0.2);
    expect(Math.abs(crossingSeconds / (40 / 60) - 1)).toBeLessThan(0.05);
    expect(Math.abs(decaySeconds - 1)).toBeLessThan(0.1);
  });

  it('tells by NaN that the noise begins before a time is known, and refuses noise alone', () => {
    const m = measureDecay(noisy(decaying(1, 5), -25, 6), RATE, { compensateNoise: true });
    expect([m.t30Seconds, Number.isFinite(m.edtSeconds)]).toEqual([NaN, true]);
    expect(() => measureDecay(noise(RATE), RATE, { compensateNoise: true })).toThrow('must decay before its noise');
    expect(() => measureDecay(noise(RATE), RATE, { compensateNoise: 1 } as never)).toThrow(TypeError);
  });
});

describe('measureOctaveDecays', () => {
  it('measures a decay of its own in every band, 63 Hz to 16 kHz', () => {
    const T = (hz: number) => 1.2 * (Math.max(hz, 60) / 1000) ** -0.2;
    const bands = measureOctaveDecays(decayingNoise(2 * RATE, RATE, 3, T), RATE);
    expect(bands.map(({ centreHz }) => centreHz)).toEqual([63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000]);
    // Standard deviation of T30 in noise of bandwidth B: about 0.9 / sqrt(B T); three of them.
    for (const { centreHz, t30Seconds } of bands.slice(1)) {
      // The noise is made in stretches whose transform is 47 Hz wide: too wide for the lowest band.
      const spread = 0.9 / Math.sqrt((centreHz / Math.SQRT2) * T(centreHz));
      expect(Math.abs(t30Seconds / T(centreHz) - 1)).toBeLessThan(3 * spread);
    }
  });

  it('leaves out what the sample rate does not hold', () => {
    expect(measureOctaveDecays(noise(8000), 8000).at(-1)?.centreHz).toBe(2000);
  });
});

describe('octaveBands', () => {
  it('are -3.01 dB at their edges, 0 dB in the middle, fall by 18 dB per octave far away, and delay nothing', () => {
    const size = 48000;
    const gainDb = (hz: number) => {
      const x = Float64Array.from(
        { length: size },
        (_, n) => Math.cos((2 * Math.PI * hz * (n - size / 2)) / RATE) * Math.sin((Math.PI * n) / size) ** 4,
      );
      const [y] = octaveBands(x, RATE, [1000]);
      expect(Math.abs(y.indexOf(Math.max(...y)) - size / 2)).toBe(0);
      return 20 * Math.log10(y[size / 2] / x[size / 2]);
    };
    expect(gainDb(1000)).toBeCloseTo(0, 3);
    expect(gainDb(1000 / Math.SQRT2)).toBeCloseTo(-3.01, 2);
    expect(gainDb(1000 * Math.SQRT2)).toBeCloseTo(-3.01, 2);
    expect(gainDb(8000) - gainDb(4000)).toBeCloseTo(-19.33, 2); // 60 lg(u(8) / u(4)), u(f) = f - 1 / f
  });

  it('ring behind the end of a response, not at its start', () => {
    // 1024 samples would hold the response, but not the 0.3 s behind it.
    const [y] = octaveBands(impulse(1000, 999), 1000, [125]);
    expect(Math.abs(y[999])).toBeGreaterThan(0.1);
    expect(Math.max(...y.subarray(0, 500).map(Math.abs))).toBeLessThan(1e-6);
  });

  it('are those whose upper edge lies below half the sample rate', () => {
    expect(octaveCentresHz(2 * 1000 * Math.SQRT2)).toEqual([63, 125, 250, 500]);
    expect(octaveCentresHz(2 * 1000 * Math.SQRT2 + 1)).toEqual([63, 125, 250, 500, 1000]);
  });

  it('refuses centres above half the sample rate, by name', () => {
    expect(() => octaveBands(impulse(100), 1000, [250, 501])).toThrow(
      /^octaveBands: centresHz must be .* to 500, got 501/,
    );
  });

  it.each<[string, (rate: number) => unknown]>([
    ['octaveBands', (rate) => octaveBands(impulse(100), rate, [])],
    ['octaveCentresHz', octaveCentresHz],
    ['measureOctaveDecays', (rate) => measureOctaveDecays(impulse(100), rate)],
  ])('%s refuses a sample rate that is none', (name, call) => {
    for (const rate of [0, -1, NaN, Infinity, 1.1e9]) {
      expect(() => call(rate)).toThrow(`${name}: sampleRateHz must be 1 to 1000000000, got ${rate}`);
    }
    expect(() => call('x' as unknown as number)).toThrow(
      `${name}: sampleRateHz must be a number from 1 to 1000000000, got "x"`,
    );
  });
});

describe('echoDensity', () => {
  it('is 1 for Gaussian noise and near 0 for a single echo', () => {
    const next = numbers(3);
    const gaussian = Float64Array.from({ length: RATE }, () => {
      let sum = -6;
      for (let i = 0; i < 12; i++) sum += next();
      return sum; // Gaussian by the central limit
    });
    const { density, timesSeconds } = echoDensity(gaussian, RATE);
    const mean = density.reduce((sum, v) => sum + v, 0) / density.length;
    expect(Math.abs(mean - 1)).toBeLessThan(0.02);
    expect(timesSeconds[0]).toBeCloseTo(0.01, 12);
    expect(timesSeconds[1] - timesSeconds[0]).toBeCloseTo(0.005, 12);
    expect(Math.max(...echoDensity(impulse(4800, 2400), RATE).density)).toBeLessThan(0.01);
  });

  it('weighs by a Hann window, from the first sample to the last', () => {
    // Windows of 4 ms about one echo at 1 kHz: weights sin^2(pi (i + 1/2) / 4) / 2; the echo alone lies beyond sigma.
    const { density, timesSeconds } = echoDensity(impulse(7, 3), 1000, { windowMs: 4, hopMs: 1 });
    const weights = [3, 2, 1, 0].map((i) => Math.sin((Math.PI * (i + 0.5)) / 4) ** 2 / 2);
    expect(density).toHaveLength(4);
    density.forEach((v, w) => expect(v).toBeCloseTo(weights[w] / 0.3173105, 6)); // erfc(1 / sqrt 2)
    timesSeconds.forEach((t, w) => expect(t).toBeCloseTo((w + 2) / 1000, 12));
  });

  it('does not depend on level, and refuses what it cannot do', () => {
    const h = noise(4800, 2);
    expect(
      echoDensity(
        h.map((x) => x / 1024),
        RATE,
      ),
    ).toEqual(echoDensity(h, RATE));
    expect(echoDensity(new Float64Array(10), RATE).density).toHaveLength(0);
    expect(() => echoDensity(h, RATE, { windowMs: 0 })).toThrow('echoDensity: windowMs must be 1 to 1000, got 0');
    expect(() => echoDensity(h, 0)).toThrow('echoDensity: sampleRateHz must be 1 to 1000000000, got 0');
  });
});
