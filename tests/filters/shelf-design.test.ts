import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { frequencyResponse } from '../../src/filters/response.ts';
import { highShelf, lowShelf, type ShelfOptions } from '../../src/filters/shelf-design.ts';
import { analogResponse, corners, logUniform, polar, prototypes, size, warped } from './analog-prototypes.ts';

const designs = { lowShelf, highShelf };
const names = ['lowShelf', 'highShelf'] as const;
const gains = fc.double({ min: -24, max: 24, noNaN: true });
const qs = logUniform(0.1, 30);
const at48 = { sampleRateHz: 48000, frequencyHz: 1000 };

/** Largest S that leaves the root above 0: (A + 1/A) / ((A + 1/A) - 2). */
function steepest(gainDb: number): number {
  const a = 10 ** (gainDb / 40);
  return (a + 1 / a) / (a + 1 / a - 2);
}

function levels(name: (typeof names)[number], options: ShelfOptions, ...frequenciesHz: number[]): number[] {
  const { sampleRateHz } = options;
  return [...frequencyResponse([designs[name](options)], { sampleRateHz, frequenciesHz }).magnitudeDb];
}

describe.each(names)('%s', (name) => {
  it('equals its analog prototype at the warped frequency', () => {
    fc.assert(
      fc.property(corners(), qs, gains, ({ sampleRateHz, frequencyHz }, q, gainDb) => {
        const frequenciesHz = [0.1, 0.9, 1.3, 7].map((x) => x * frequencyHz).filter((f) => f < 0.499 * sampleRateHz);
        const section = designs[name]({ sampleRateHz, frequencyHz, q, gainDb });
        const response = frequencyResponse([section], { sampleRateHz, frequenciesHz });
        const errors = frequenciesHz.map((f, i) => {
          const wanted = analogResponse(prototypes[name](q, gainDb), warped(f, frequencyHz, sampleRateHz));
          const got = polar(response.magnitudeDb[i], response.phaseRadians[i]);
          return Math.hypot(got.re - wanted.re, got.im - wanted.im) / size(wanted);
        });
        expect(Math.max(...errors)).toBeLessThan(2e-7); // rounded coefficients of a 20 Hz corner at 192 kHz
      }),
    );
  });

  it('is at half its gain at the corner for every Q and slope, at all of it on one end, at 0 dB on the other', () => {
    const width = fc.oneof(
      qs.map((q) => () => ({ q })),
      logUniform(0.05, 0.95).map((x) => (gainDb: number) => ({ slope: x * Math.min(steepest(gainDb), 100) })),
    );
    fc.assert(
      fc.property(corners(), width, gains, ({ sampleRateHz, frequencyHz }, widthAt, gainDb) => {
        const options = { sampleRateHz, frequencyHz, gainDb, ...widthAt(gainDb) };
        const [dc, corner, end] = levels(name, options, 0, frequencyHz, sampleRateHz / 2);
        const [shelf, rest] = name === 'lowShelf' ? [dc, end] : [end, dc];
        expect(Math.abs(corner - gainDb / 2)).toBeLessThan(2e-6);
        expect(Math.abs(shelf - gainDb)).toBeLessThan(2e-6);
        expect(Math.abs(rest)).toBeLessThan(2e-6);
      }),
    );
  });

  it('by 0 dB is the identity to the last bit', () => {
    fc.assert(
      fc.property(corners(), qs, (corner, q) => {
        const { b0, b1, b2, a1, a2 } = designs[name]({ ...corner, q, gainDb: 0 });
        expect([b0, b1, b2]).toEqual([1, a1, a2]);
      }),
    );
  });

  // dB per octave at the corner for S = 1, far below half the sample rate: derived from the prototype, 4 digits.
  it.each([
    [6, 4.001],
    [12, 7.206],
    [24, 10.612],
  ])('with slope 1 and %i dB rises or falls %f dB per octave, with slope 1/2 half of it', (gainDb, perOctave) => {
    const steepness = (slope: number): number => {
      const octave = 0.001;
      const options = { ...at48, frequencyHz: 100, gainDb, slope };
      const [below, above] = levels(name, options, 100 * 2 ** -octave, 100 * 2 ** octave);
      return Math.abs(above - below) / (2 * octave);
    };
    expect(Math.abs(steepness(1) - perOctave)).toBeLessThan(1e-3);
    expect(Math.abs(steepness(0.5) - steepness(1) / 2)).toBeLessThan(1e-3);
  });

  it('has q = 1/sqrt(2), which is slope 1, unless told otherwise', () => {
    const usual = designs[name]({ ...at48, gainDb: 9 });
    expect(usual).toEqual(designs[name]({ ...at48, gainDb: 9, q: Math.SQRT1_2 }));
    expect(Math.abs(usual.a2 - designs[name]({ ...at48, gainDb: 9, slope: 1 }).a2)).toBeLessThan(1e-15);
  });

  // Largest slope: 17.60 at +-6 dB, 5.03 at +-12 dB.
  it.each([
    [6, 17.59, 17.61],
    [-6, 17.59, 17.61],
    [12, 5.02, 5.04],
    [-12, 5.02, 5.04],
  ])('at %i dB accepts slope %f and refuses %f', (gainDb, allowed, refused) => {
    expect(Number.isFinite(designs[name]({ ...at48, gainDb, slope: allowed }).b0)).toBe(true);
    expect(() => designs[name]({ ...at48, gainDb, slope: refused })).toThrow(RangeError);
    expect(() => designs[name]({ ...at48, gainDb, slope: refused })).toThrow(
      new RegExp(`^${name}: slope \\(at gainDb ${gainDb}\\) must be above 0 and below ${String(allowed).slice(0, 2)}`),
    );
  });

  it('refuses two widths at once, a wrong type, and values out of range', () => {
    const make = (options: object) => () => designs[name]({ ...at48, gainDb: 6, ...options });
    expect(make({ q: 1, slope: 1 })).toThrow(new TypeError(`${name}: q and slope must not both be given`));
    expect(make({ slope: '1' })).toThrow(new TypeError(`${name}: slope (at gainDb 6) must be a number, got "1"`));
    expect(make({ slope: 0 })).toThrow(`${name}: slope (at gainDb 6) must be above 0 and below 17.`);
    expect(make({ q: 0 })).toThrow(new RangeError(`${name}: q must be above 0 and below Infinity, got 0`));
    expect(make({ frequencyHz: 24000 })).toThrow(
      new RangeError(`${name}: frequencyHz must be above 0 and below 24000, got 24000`),
    );
    expect(make({ gainDb: 121 })).toThrow(new RangeError(`${name}: gainDb must be -120 to 120, got 121`));
  });
});
