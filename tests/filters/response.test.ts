import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { bandpass, highpass, lowpass, notch, peaking } from '../../src/filters/biquad-design.ts';
import { butterworthHighpass, butterworthLowpass } from '../../src/filters/butterworth.ts';
import { firResponse } from '../../src/filters/fir-response.ts';
import { firstOrderHighpass, firstOrderLowpass } from '../../src/filters/first-order-design.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { highShelf, lowShelf } from '../../src/filters/shelf-design.ts';
import { corners, logUniform, over, polar, times, warped } from './analog-prototypes.ts';

const at48 = { sampleRateHz: 48000, frequencyHz: 1000 };
const worst = (errors: number[]): number => errors.reduce((max, error) => Math.max(max, Math.abs(error)), 0);
const respond = (sections: BiquadCoefficients[], sampleRateHz: number, ...frequenciesHz: number[]) =>
  frequencyResponse(sections, { sampleRateHz, frequenciesHz });

/** A section of any kind at 48 kHz. */
const sections = fc
  .tuple(fc.nat(8), logUniform(200, 20000), logUniform(0.3, 10), fc.double({ min: -18, max: 18, noNaN: true }))
  .map(([kind, frequencyHz, q, gainDb]): BiquadCoefficients => {
    const corner = { sampleRateHz: 48000, frequencyHz };
    return [
      () => lowpass({ ...corner, q }),
      () => highpass({ ...corner, q }),
      () => bandpass({ ...corner, q }),
      () => notch({ ...corner, q }),
      () => peaking({ ...corner, q, gainDb }),
      () => lowShelf({ ...corner, q, gainDb }),
      () => highShelf({ ...corner, q, gainDb }),
      () => firstOrderLowpass(corner),
      () => firstOrderHighpass(corner),
    ][kind]();
  });

describe('frequencyResponse', () => {
  it('is H(z) = (b0 + b1/z + b2/z^2) / (1 + a1/z + a2/z^2) on the unit circle', () => {
    fc.assert(
      fc.property(sections, logUniform(200, 23000), ({ b0, b1, b2, a1, a2 }, f) => {
        const w = (2 * Math.PI * f) / 48000;
        const evaluate = (p0: number, p1: number, p2: number) => ({
          re: p0 + p1 * Math.cos(w) + p2 * Math.cos(2 * w),
          im: -p1 * Math.sin(w) - p2 * Math.sin(2 * w),
        });
        const wanted = over(evaluate(b0, b1, b2), evaluate(1, a1, a2));
        const { magnitudeDb, phaseRadians } = respond([{ b0, b1, b2, a1, a2 }], 48000, f);
        const got = polar(magnitudeDb[0], phaseRadians[0]);
        expect(Math.hypot(got.re - wanted.re, got.im - wanted.im)).toBeLessThan(1e-10);
      }),
    );
  });

  it('has the group delay -d(phase)/dw', () => {
    fc.assert(
      fc.property(sections, logUniform(100, 23900), (section, f) => {
        const step = 0.01; // Hz; the phase bends over tens of Hz at the least
        const { phaseRadians, groupDelaySamples } = respond([section], 48000, f - step, f, f + step);
        const turn = phaseRadians[2] - phaseRadians[0];
        fc.pre(Math.abs(turn) < 1); // not across the cut of the phase or a zero on the circle
        const slope = (-turn * 48000) / (2 * Math.PI * 2 * step);
        const delay = groupDelaySamples[1];
        // Rounding of the phase, 1e-15 rad over 2.6e-6 rad, and the third derivative, relative to the delay squared.
        expect(Math.abs(slope - delay)).toBeLessThan(1e-6 * (1 + Math.abs(delay)));
      }),
    );
  });

  it('adds levels, phases and delays of sections in series', () => {
    fc.assert(
      fc.property(sections, sections, logUniform(200, 23000), (one, two, f) => {
        const [a, b, both] = [respond([one], 48000, f), respond([two], 48000, f), respond([one, two], 48000, f)];
        for (const part of ['magnitudeDb', 'phaseRadians', 'groupDelaySamples'] as const) {
          expect(both[part][0]).toBe(a[part][0] + b[part][0]);
        }
        const product = times(polar(a.magnitudeDb[0], a.phaseRadians[0]), polar(b.magnitudeDb[0], b.phaseRadians[0]));
        const got = polar(both.magnitudeDb[0], both.phaseRadians[0]);
        expect(Math.hypot(got.re - product.re, got.im - product.im)).toBeLessThan(1e-12);
      }),
    );
  });

  it('without sections passes everything unchanged', () => {
    const { magnitudeDb, phaseRadians, groupDelaySamples } = respond([], 48000, 0, 100, 24000);
    expect([...magnitudeDb, ...phaseRadians, ...groupDelaySamples]).toEqual(new Array(9).fill(0));
  });

  // The closed form of the Butterworth filter is the judge: plain sums of cosines lose 1e-3 dB and more here.
  it('keeps 1e-6 dB for a 20 Hz corner at 192 kHz, down to a thousandth of the corner', () => {
    const options = { sampleRateHz: 192000, frequencyHz: 20, order: 16 };
    const frequenciesHz = [0.02, 0.2, 2, 10, 20, 30, 90];
    const high = respond(butterworthHighpass(options), 192000, ...frequenciesHz).magnitudeDb;
    const low = respond(butterworthLowpass(options), 192000, ...frequenciesHz).magnitudeDb;
    const errors = frequenciesHz.flatMap((f, i) => {
      const r = warped(f, 20, 192000);
      return [high[i] + 10 * Math.log10(1 + r ** -32), low[i] + 10 * Math.log10(1 + r ** 32)];
    });
    expect(worst(errors)).toBeLessThan(1e-6);
  });

  it('keeps 1e-6 dB as close to half the sample rate', () => {
    const options = { sampleRateHz: 192000, frequencyHz: 95980, order: 16 };
    const frequenciesHz = [95999.98, 95999, 95990, 95980, 95910];
    const low = respond(butterworthLowpass(options), 192000, ...frequenciesHz).magnitudeDb;
    const errors = frequenciesHz.map((f, i) => {
      // cot(pi f / fs) written as the tan of the distance to half the rate, which keeps its digits
      const r = Math.tan((Math.PI * 20) / 192000) / Math.tan((Math.PI * (96000 - f)) / 192000);
      return low[i] + 10 * Math.log10(1 + r ** 32);
    });
    expect(worst(errors)).toBeLessThan(1e-6);
  });

  it('has the limit of the group delay where a zero lies on the unit circle', () => {
    const limitOf = (section: BiquadCoefficients, at: number, near: number): number[] => {
      const { magnitudeDb, groupDelaySamples } = respond([section], 48000, at, near);
      expect(magnitudeDb[0]).toBe(-Infinity);
      return [...groupDelaySamples];
    };
    for (const [section, at, near] of [
      [firstOrderHighpass(at48), 0, 1e-3],
      [firstOrderLowpass(at48), 24000, 23999.999],
      [highpass(at48), 0, 1e-3],
      [bandpass(at48), 0, 1e-3],
      [bandpass(at48), 24000, 23999.999],
      [{ b0: 1, b1: -1.3, b2: 0.3, a1: 0, a2: 0 }, 0, 1e-3], // (1 - 1/z)(1 - 0.3/z)
      [{ b0: 1, b1: 1.5, b2: 0.5, a1: 0, a2: 0 }, 24000, 23999.999], // (1 + 1/z)(1 + 0.5/z)
    ] as [BiquadCoefficients, number, number][]) {
      const [limit, close] = limitOf(section, at, near);
      expect(Math.abs(limit - close)).toBeLessThan(1e-6);
    }
  });

  it('refuses frequencies beyond half the sample rate, and what is not a number', () => {
    expect(() => respond([], 48000, 24001)).toThrow(
      new RangeError('frequencyResponse: frequenciesHz must be 0 to 24000, got 24001'),
    );
    expect(() => respond([], 48000, NaN)).toThrow(RangeError);
    expect(() => respond([], 0, 0)).toThrow(
      new RangeError('frequencyResponse: sampleRateHz must be above 0 and below Infinity, got 0'),
    );
    expect(() => respond([], 48000, '1' as never)).toThrow(TypeError);
  });
});

describe('firResponse', () => {
  it('equals the response of a section without feedback', () => {
    const taps = fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 3, maxLength: 3 });
    fc.assert(
      fc.property(taps, corners(), ([b0, b1, b2], { sampleRateHz, frequencyHz }) => {
        const section = respond([{ b0, b1, b2, a1: 0, a2: 0 }], sampleRateHz, frequencyHz);
        const fir = firResponse([b0, b1, b2], { sampleRateHz, frequenciesHz: [frequencyHz] });
        fc.pre(section.magnitudeDb[0] > -40); // away from zeros, where phase and delay are ill-conditioned
        const turns = (section.phaseRadians[0] - fir.phaseRadians[0]) / (2 * Math.PI);
        expect(Math.abs(section.magnitudeDb[0] - fir.magnitudeDb[0])).toBeLessThan(1e-9);
        expect(Math.abs(turns - Math.round(turns))).toBeLessThan(1e-10);
        expect(Math.abs(section.groupDelaySamples[0] - fir.groupDelaySamples[0])).toBeLessThan(1e-7);
      }),
    );
  });

  it('of a delayed impulse is 0 dB with that delay', () => {
    const taps = new Float64Array(8);
    taps[5] = 1;
    const { magnitudeDb, groupDelaySamples } = firResponse(taps, { sampleRateHz: 2, frequenciesHz: [0, 0.3, 1] });
    expect(worst([...magnitudeDb])).toBeLessThan(1e-14);
    expect(worst([...groupDelaySamples].map((delay) => delay - 5))).toBeLessThan(1e-14);
  });

  it('of a moving average of N is sin(N w/2) / (N sin(w/2))', () => {
    const frequenciesHz = [100, 1000, 5000, 11111];
    const { magnitudeDb } = firResponse(new Float64Array(16).fill(1 / 16), { sampleRateHz: 48000, frequenciesHz });
    const errors = frequenciesHz.map((f, i) => {
      const w = (2 * Math.PI * f) / 48000;
      return magnitudeDb[i] - 20 * Math.log10(Math.abs(Math.sin(8 * w) / (16 * Math.sin(w / 2))));
    });
    expect(worst(errors)).toBeLessThan(1e-11);
  });

  it('refuses frequencies beyond half the sample rate', () => {
    expect(() => firResponse([1], { sampleRateHz: 48000, frequenciesHz: [-1] })).toThrow(
      new RangeError('firResponse: frequenciesHz must be 0 to 24000, got -1'),
    );
    expect(() => firResponse([1], { sampleRateHz: -1, frequenciesHz: [] })).toThrow(
      /^firResponse: sampleRateHz must be/,
    );
  });
});
