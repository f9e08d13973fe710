import { describe, expect, it } from 'vitest';
import { matchLoudness } from '../../src/blocks/match-loudness.ts';
import { saveState } from '../../src/core/saved-state.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { firstOrderHighpass, firstOrderHighShelf } from '../../src/filters/first-order-design.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { measureHarmonics } from '../../src/saturation/distortion.ts';
import { saturationCurves } from '../../src/saturation/saturation-curves.ts';
import { Saturator, type SaturatorOptions, saturatorParameters } from '../../src/saturation/saturator.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { firstDifference, largestDifference, noise, sine } from '../support/signals.ts';
import { fourierHarmonics, harmonicError, plainCurves } from './reference-curves.ts';

const RATE = 48000;
const mono = { sampleRateHz: RATE, channels: 1 };
const stereo = { sampleRateHz: RATE, channels: 2 };
const names = saturatorParameters.curve.choices;

describe('curves of the saturator', () => {
  for (const name of names) {
    it(`${name}: value, slope and the way in place are of one curve, of slope 1 at 0`, () => {
      const { value, slope, inPlace } = saturationCurves[name];
      expect(slope(0)).toBe(1);
      const u = Float64Array.from({ length: 161 }, (_, i) => (i - 80) / 16);
      const run = u.slice();
      inPlace()(run, run.length);
      u.forEach((x, i) => {
        expect(Math.abs(value(x) - plainCurves[name](x))).toBeLessThan(1e-14);
        expect(Math.abs(run[i] - value(x))).toBeLessThan(2e-10);
        // The slope of the cubic and of the uneven curve is continuous; differences across a corner of it are off by 1e-5.
        expect(Math.abs((value(x + 1e-5) - value(x - 1e-5)) / 2e-5 - slope(x))).toBeLessThan(2e-5);
      });
    });
  }
});

describe('Saturator', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new Saturator(stereo, o),
    table: saturatorParameters,
    lively: {
      driveDb: 18,
      oversampling: 2,
      curve: 'uneven',
      biasPercent: 30,
      evenPercent: 60,
      tiltDb: 6,
      mixPercent: 80,
    },
    runs: 4,
    length: 1500,
  });

  const cases: readonly SaturatorOptions[] = [
    ...names.map((curve) => ({ curve, driveDb: 9 })),
    { curve: 'algebraic', driveDb: 6, biasPercent: -60, evenPercent: 30 },
    { curve: 'uneven', driveDb: 12, evenPercent: 200 },
  ];
  for (const options of cases) {
    const { curve = 'tanh', driveDb = 0, biasPercent = 0, evenPercent = 100 } = options;
    it(`has the harmonics of the Fourier integral to the 15th within 0.01 dB: ${JSON.stringify(options)}`, () => {
      const f = plainCurves[curve],
        g = 10 ** (driveDb / 20),
        b = biasPercent / 100,
        e = evenPercent / 100;
      const slope = (f(b + 1e-6) - f(b - 1e-6)) / 2e-6;
      const s = (x: number): number => {
        const [up, down] = [f(b + g * x), f(b - g * x)];
        return ((up - down) / 2 + e * ((up + down) / 2 - f(b))) / slope / g;
      };
      // The DC block of 5 Hz takes 1e-4 dB off 997 Hz.
      const saturator = new Saturator(mono, { ...options, levelMatch: false });
      const found = measureHarmonics(saturator);
      expect(harmonicError(found, fourierHarmonics(s, 15))).toBeLessThan(1);
    });
  }

  it.each([0, 60, 100, 200])(
    'at one rate is its curve between two tilts, with %i % of its even part',
    (evenPercent) => {
      const x = noise(700, 2);
      const drive = 10 ** (9 / 20);
      const filtered = (y: Float64Array, ...sections: BiquadCoefficients[]) =>
        render64(new BiquadCascade(mono, sections), [y])[0];
      const corner = { sampleRateHz: 48000, frequencyHz: 2000 };
      const half = 10 ** (-6 / 40); // of the tilt of 6 dB the lows get one half down
      const tilted = filtered(x, firstOrderHighShelf({ ...corner, gainDb: 6 })).map((v) => half * v);
      const f = plainCurves.algebraic;
      const [b, e] = [0.3, evenPercent / 100];
      const slope = (1 + b * b) ** -1.5; // of u / sqrt(1 + u^2)
      const bent = tilted.map((v) => {
        const [up, down] = [f(b + drive * v), f(b - drive * v)];
        return ((up - down) / 2 + e * ((up + down) / 2 - f(b))) / slope / drive;
      });
      const wet = filtered(
        bent,
        firstOrderHighpass({ sampleRateHz: 48000, frequencyHz: 20 }),
        firstOrderHighShelf({ ...corner, gainDb: -6 }),
      ).map((v) => (v / half) * 10 ** (-3 / 20));
      const options = {
        driveDb: 9,
        biasPercent: 30,
        evenPercent,
        tiltDb: 6,
        tiltHz: 2000,
        dcCornerHz: 20,
        outputGainDb: -3,
      };
      for (const mixPercent of [100, 40]) {
        const bare = { curve: 'algebraic', levelMatch: false, oversampling: 1 } as const;
        const saturator = new Saturator(mono, { ...options, ...bare, mixPercent });
        const expected = wet.map((v, n) => x[n] + (mixPercent / 100) * (v - x[n]));
        expect(largestDifference(render64(saturator, [x])[0], expected)).toBeLessThan(1e-10);
      }
    },
  );

  it('has no even harmonics at 0 % of them, and no DC', () => {
    const harmonics = measureHarmonics(
      new Saturator(mono, { curve: 'uneven', biasPercent: 50, evenPercent: 0, driveDb: 18 }),
    );
    expect(harmonics[3]).toBeGreaterThan(0.05 * harmonics[1]);
    for (const n of [0, 2, 4, 6, 8]) expect(harmonics[n]).toBeLessThan(1e-6 * harmonics[1]);
    const uneven = measureHarmonics(new Saturator(mono, { curve: 'uneven', driveDb: 18 }));
    expect(uneven[2]).toBeGreaterThan(0.02 * uneven[1]);
    expect(uneven[0]).toBeLessThan(1e-6); // the curve makes DC; the block takes it out
  });

  it('passes a quiet signal as it is, whatever bias and tilt are, in time with the dry signal', () => {
    const quiet = noise(4000, 3, 1e-6);
    const saturator = new Saturator(mono, {
      driveDb: 12,
      levelMatch: false,
      biasPercent: 50,
      tiltDb: 12,
      dcCornerHz: 0.1,
    });
    const smooth = quiet.map(
      (v, i) => (v + 3 * (quiet[i - 1] ?? 0) + 3 * (quiet[i - 2] ?? 0) + (quiet[i - 3] ?? 0)) / 8,
    );
    const [y] = render64(saturator, [smooth]);
    const late = saturator.latencySamples;
    // The noise reaches above the oversampler's pass band, but little of it: (cos)^3 is -25 dB at 20 kHz.
    const difference = largestDifference(y.subarray(500), smooth.subarray(500 - late, 4000 - late));
    expect(difference).toBeLessThan(1e-6 * 0.03);
    const dry = new Saturator(mono, { mixPercent: 0 });
    expect(firstDifference(render64(dry, [quiet])[0].subarray(late), quiet.subarray(0, 4000 - late))).toBe(-1);
  });

  it('comes to rest in silence without denormal numbers', () => {
    const options = { oversampling: 1, dcCornerHz: 20, tiltDb: 6, tiltHz: 100 } as const;
    const saturator = new Saturator({ sampleRateHz: 8000, channels: 1 }, options);
    render64(saturator, [noise(500)]);
    render64(saturator, [new Float64Array(8000)]);
    const left = saveState(saturator).arrays.flat().map(Number).map(Math.abs);
    expect(left.filter((v) => v > 0 && v < 1e-30)).toEqual([]);
  });

  it('drives highs harder with a tilt up, and lows harder with a tilt down', () => {
    const third = (tiltDb: number, frequencyHz: number) => {
      const a = measureHarmonics(new Saturator(mono, { tiltDb, driveDb: 0, oversampling: 2 }), {
        frequencyHz,
        levelDb: -6,
      });
      return a[3] / a[1];
    };
    // In front: highs up 6 dB and lows down 6 dB, of 12. Behind, the third harmonic is lowered against the fundamental
    // where the tilt slopes, hardly elsewhere.
    expect(third(12, 5000)).toBeGreaterThan(2.5 * third(0, 5000));
    expect(third(12, 100)).toBeLessThan(0.4 * third(0, 100));
    expect(third(-12, 100)).toBeGreaterThan(2.5 * third(0, 100));
  });

  it('sounds the same at any sample rate: harmonics up to 9 kHz within 0.1 dB', () => {
    const harmonics = (sampleRateHz: number, tiltDb: number) =>
      measureHarmonics(
        new Saturator({ sampleRateHz, channels: 1 }, { curve: 'uneven', driveDb: 12, tiltDb, oversampling: 4 }),
        {
          frequencyHz: 600,
        },
      );
    // The bilinear transform bends the tilt near half the sample rate: 0.14 dB at 9 kHz at the lowest rate.
    for (const [rate, tiltDb] of [
      [22_050, 0],
      [44_100, 6],
    ]) {
      const found = harmonics(rate, tiltDb),
        reference = harmonics(96_000, tiltDb);
      for (let n = 1; n <= 15; n++) {
        if (reference[n] < 1e-4 * reference[1]) continue;
        expect(Math.abs(20 * Math.log10(found[n] / reference[n]))).toBeLessThan(0.1);
      }
    }
  });

  describe('on drums', () => {
    const kit = simulateKit({ bars: 2 });
    const snare = [Float64Array.from(kit.microphones.snareTop)];
    const format = { sampleRateHz: kit.sampleRateHz, channels: 1 };
    const hitLevelDb = -9; // the peaks of this microphone
    const withDrive = (driveDb: number) => new Saturator(format, { driveDb, hitLevelDb, oversampling: 2 });

    it('the live level match holds the loudness within 2 dB while the drive goes from 0 to 24 dB, 5 dB without', () => {
      for (const driveDb of [0, 12, 24]) expect(Math.abs(matchLoudness(withDrive(driveDb), snare))).toBeLessThan(2);
      const unmatched = new Saturator(format, { driveDb: 24, levelMatch: false, oversampling: 2 });
      expect(matchLoudness(unmatched, snare)).toBeGreaterThan(5);
    });

    it('gains measured in a first pass hold the loudness within 0.5 dB while the drive moves', () => {
      const half = Math.floor(snare[0].length / 2);
      const drives = [3, 18];
      const gains = drives.map((driveDb) => matchLoudness(withDrive(driveDb), snare));
      const saturator = withDrive(drives[0]);
      saturator.set({ outputGainDb: gains[0] });
      saturator.reset();
      const y = new Float64Array(snare[0].length);
      saturator.process([snare[0].subarray(0, half)], [y.subarray(0, half)]);
      saturator.set({ driveDb: drives[1], outputGainDb: gains[1] });
      saturator.process([snare[0].subarray(half)], [y.subarray(half)]);
      for (const part of [y, y.subarray(0, half), y.subarray(half)]) {
        const from = part.byteOffset / 8;
        const change =
          measureLoudness([part], format.sampleRateHz) -
          measureLoudness([snare[0].subarray(from, from + part.length)], format.sampleRateHz);
        expect(Math.abs(change)).toBeLessThan(0.5);
      }
    });
  });

  it('matches a silent signal by leaving it alone', () => {
    expect(matchLoudness(new Saturator(mono), [new Float64Array(RATE)])).toBe(0);
    expect(
      matchLoudness(new Saturator(mono, { driveDb: 0, levelMatch: false }), [sine(RATE, 997, RATE, 1e-3)]),
    ).toBeCloseTo(0, 2);
  });
});
