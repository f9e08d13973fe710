import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BiquadCoefficients, ResonanceOptions } from '../../src/filters/biquad-coefficients.ts';
import {
  allpass,
  bandpass,
  bandpassConstantSkirt,
  highpass,
  lowpass,
  notch,
  peaking,
} from '../../src/filters/biquad-design.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { analogResponse, corners, logUniform, polar, prototypes, size, warped } from './analog-prototypes.ts';

const designs = { lowpass, highpass, bandpass, bandpassConstantSkirt, notch, allpass };
type Name = keyof typeof designs;
const names = Object.keys(designs) as Name[];

const qs = logUniform(0.1, 30);
const gains = fc.double({ min: -24, max: 24, noNaN: true });
const at48 = { sampleRateHz: 48000, frequencyHz: 1000 };

/** Tolerance in dB: coefficients rounded to 1e-16 move a 20 Hz corner of Q 30 at 192 kHz by up to 3e-7 dB. */
const LEVEL_DB = 1e-6;

function levels(section: BiquadCoefficients, sampleRateHz: number, ...frequenciesHz: number[]): number[] {
  return [...frequencyResponse([section], { sampleRateHz, frequenciesHz }).magnitudeDb];
}

/** Largest relative (for the notch, absolute) distance from the analog prototype at five multiples of the corner. */
function distance(name: Name | 'peaking', options: ResonanceOptions & { q: number }, gainDb: number): number {
  const { sampleRateHz, frequencyHz, q } = options;
  const section = name === 'peaking' ? peaking({ ...options, gainDb }) : designs[name](options);
  const frequenciesHz = [0.1, 0.9, 1, 1.3, 7].map((x) => x * frequencyHz).filter((f) => f < 0.499 * sampleRateHz);
  const response = frequencyResponse([section], { sampleRateHz, frequenciesHz });
  return Math.max(
    ...frequenciesHz.map((f, i) => {
      const wanted = analogResponse(prototypes[name](q, gainDb), warped(f, frequencyHz, sampleRateHz));
      const got = polar(response.magnitudeDb[i], response.phaseRadians[i]);
      return Math.hypot(got.re - wanted.re, got.im - wanted.im) / (name === 'notch' ? 1 : size(wanted));
    }),
  );
}

describe('second-order designs', () => {
  it.each([...names, 'peaking'] as const)('%s equals its analog prototype at the warped frequency', (name) => {
    fc.assert(
      fc.property(corners(), qs, gains, (corner, q, gainDb) => {
        expect(distance(name, { ...corner, q }, gainDb)).toBeLessThan(1e-7); // 1e-6 dB, 1e-7 rad
      }),
    );
  });

  it.each([...names, 'peaking'] as const)('%s keeps its poles inside the unit circle', (name) => {
    fc.assert(
      fc.property(corners(), logUniform(1e-3, 1e3), gains, (corner, q, gainDb) => {
        const { a1, a2 } = name === 'peaking' ? peaking({ ...corner, q, gainDb }) : designs[name]({ ...corner, q });
        expect(Math.abs(a2)).toBeLessThan(1);
        expect(Math.abs(a1)).toBeLessThan(1 + a2);
      }),
    );
  });

  it('lowpass has gain Q at the corner, 0 dB at DC, nothing at half the sample rate', () => {
    fc.assert(
      fc.property(corners(), qs, ({ sampleRateHz, frequencyHz }, q) => {
        const section = lowpass({ sampleRateHz, frequencyHz, q });
        const [dc, corner, end] = levels(section, sampleRateHz, 0, frequencyHz, sampleRateHz / 2);
        expect(Math.abs(dc)).toBeLessThan(LEVEL_DB);
        expect(Math.abs(corner - 20 * Math.log10(q))).toBeLessThan(LEVEL_DB);
        expect(end).toBe(-Infinity);
      }),
    );
  });

  it('highpass has gain Q at the corner, nothing at DC, 0 dB at half the sample rate', () => {
    fc.assert(
      fc.property(corners(), qs, ({ sampleRateHz, frequencyHz }, q) => {
        const section = highpass({ sampleRateHz, frequencyHz, q });
        const [dc, corner, end] = levels(section, sampleRateHz, 0, frequencyHz, sampleRateHz / 2);
        expect(dc).toBe(-Infinity);
        expect(Math.abs(corner - 20 * Math.log10(q))).toBeLessThan(LEVEL_DB);
        expect(Math.abs(end)).toBeLessThan(LEVEL_DB);
      }),
    );
  });

  it('bandpass peaks at 0 dB, with constant skirt at Q; the notch is silent at the corner and 0 dB at both ends', () => {
    fc.assert(
      fc.property(corners(), qs, ({ sampleRateHz, frequencyHz }, q) => {
        const options = { sampleRateHz, frequencyHz, q };
        expect(Math.abs(levels(bandpass(options), sampleRateHz, frequencyHz)[0])).toBeLessThan(LEVEL_DB);
        const skirt = levels(bandpassConstantSkirt(options), sampleRateHz, frequencyHz)[0];
        expect(Math.abs(skirt - 20 * Math.log10(q))).toBeLessThan(LEVEL_DB);
        const [dc, corner, end] = levels(notch(options), sampleRateHz, 0, frequencyHz, sampleRateHz / 2);
        expect(corner).toBeLessThan(-140); // the rounding of b1 moves the zero along the circle
        expect(Math.max(Math.abs(dc), Math.abs(end))).toBeLessThan(LEVEL_DB);
      }),
    );
  });

  it('allpass is 0 dB to the last bit everywhere and turns by half a circle at the corner', () => {
    fc.assert(
      fc.property(corners(), qs, logUniform(1e-3, 0.5), ({ sampleRateHz, frequencyHz }, q, x) => {
        const section = allpass({ sampleRateHz, frequencyHz, q });
        const frequenciesHz = [frequencyHz, x * sampleRateHz];
        const { magnitudeDb, phaseRadians } = frequencyResponse([section], { sampleRateHz, frequenciesHz });
        expect([...magnitudeDb]).toEqual([0, 0]);
        expect(Math.abs(Math.abs(phaseRadians[0]) - Math.PI)).toBeLessThan(1e-6);
      }),
    );
  });

  it('peaking reaches its gain at the corner and 0 dB at both ends', () => {
    fc.assert(
      fc.property(corners(), qs, gains, ({ sampleRateHz, frequencyHz }, q, gainDb) => {
        const section = peaking({ sampleRateHz, frequencyHz, q, gainDb });
        const [dc, corner, end] = levels(section, sampleRateHz, 0, frequencyHz, sampleRateHz / 2);
        expect(Math.abs(corner - gainDb)).toBeLessThan(LEVEL_DB);
        expect(Math.max(Math.abs(dc), Math.abs(end))).toBeLessThan(LEVEL_DB);
      }),
    );
  });

  it('peaking by -G undoes peaking by +G: numerator and denominator change places', () => {
    fc.assert(
      fc.property(corners(), qs, gains, (corner, q, gainDb) => {
        const boost = peaking({ ...corner, q, gainDb });
        const cut = peaking({ ...corner, q, gainDb: -gainDb });
        const ratios = [cut.b1 - boost.a1 / boost.b0, cut.b2 - boost.a2 / boost.b0, cut.b0 - 1 / boost.b0];
        const inverse = [...ratios, cut.a1 - boost.b1 / boost.b0, cut.a2 - boost.b2 / boost.b0];
        expect(Math.max(...inverse.map(Math.abs))).toBeLessThan(4e-15); // a few roundings of numbers up to 2
      }),
    );
  });

  it('peaking by 0 dB is the identity to the last bit', () => {
    fc.assert(
      fc.property(corners(), qs, (corner, q) => {
        const { b0, b1, b2, a1, a2 } = peaking({ ...corner, q, gainDb: 0 });
        expect([b0, b1, b2]).toEqual([1, a1, a2]);
      }),
    );
  });

  // Band edges after the bilinear transform: tan(pi f/fs) = tan(pi f0/fs) (sqrt(1 + 1/(4 Q^2)) +- 1/(2Q)).
  it('bandpass and notch are at -3.01 dB, peaking at half its gain, on the band edges', () => {
    fc.assert(
      fc.property(corners(), qs, gains, ({ sampleRateHz, frequencyHz }, q, gainDb) => {
        const options = { sampleRateHz, frequencyHz, q };
        const corner = Math.tan((Math.PI * frequencyHz) / sampleRateHz);
        for (const side of [-1, 1]) {
          const edge = corner * (Math.sqrt(1 + 1 / (4 * q * q)) + side / (2 * q));
          const f = (Math.atan(edge) * sampleRateHz) / Math.PI;
          const half = -10 * Math.log10(2);
          expect(Math.abs(levels(bandpass(options), sampleRateHz, f)[0] - half)).toBeLessThan(LEVEL_DB);
          expect(Math.abs(levels(notch(options), sampleRateHz, f)[0] - half)).toBeLessThan(LEVEL_DB);
          const bell = levels(peaking({ ...options, gainDb }), sampleRateHz, f)[0];
          expect(Math.abs(bell - gainDb / 2)).toBeLessThan(LEVEL_DB);
        }
      }),
    );
  });

  // Width in octaves between the -3 dB points at 48 kHz, computed from the definition with scipy 1.10.1.
  it.each([
    [1000, [0.3333, 0.9998, 1.998]],
    [5000, [0.3331, 0.9948, 1.959]],
    [10000, [0.3329, 0.9878, 1.916]],
    [15000, [0.3342, 1.0204, 2.102]],
    [18000, [0.3399, 1.1478, 2.701]],
  ])('bandpass by bandwidth at %i Hz is as wide as tabulated, at low frequencies as asked', (frequencyHz, widths) => {
    [1 / 3, 1, 2].forEach((bandwidthOctaves, i) => {
      const section = bandpass({ sampleRateHz: 48000, frequencyHz, bandwidthOctaves });
      const edge = (inside: number, outside: number): number => {
        for (let step = 0; step < 60; step++) {
          const middle = (inside + outside) / 2;
          if (levels(section, 48000, middle)[0] > -10 * Math.log10(2)) inside = middle;
          else outside = middle;
        }
        return inside;
      };
      const width = Math.log2(edge(frequencyHz, 24000) / edge(frequencyHz, 0));
      expect(Math.abs(width - widths[i])).toBeLessThan(i === 2 ? 6e-4 : 6e-5); // digits printed
    });
  });

  it('has q = 1/sqrt(2) unless told otherwise', () => {
    for (const name of names) expect(designs[name](at48)).toEqual(designs[name]({ ...at48, q: Math.SQRT1_2 }));
    expect(peaking({ ...at48, gainDb: 3 })).toEqual(peaking({ ...at48, gainDb: 3, q: Math.SQRT1_2 }));
  });
});

describe('second-order designs refuse', () => {
  it.each([
    [{ ...at48, frequencyHz: 0 }, 'frequencyHz must be above 0 and below 24000, got 0'],
    [{ ...at48, frequencyHz: 24000 }, 'frequencyHz must be above 0 and below 24000, got 24000'],
    [{ ...at48, frequencyHz: NaN }, 'frequencyHz must be above 0 and below 24000, got NaN'],
    [{ ...at48, sampleRateHz: 0 }, 'sampleRateHz must be above 0 and below Infinity, got 0'],
    [{ ...at48, sampleRateHz: Infinity }, 'sampleRateHz must be above 0 and below Infinity, got Infinity'],
    [{ ...at48, q: 0 }, 'q must be above 0 and below Infinity, got 0'],
    [{ ...at48, q: -1 }, 'q must be above 0 and below Infinity, got -1'],
    [{ ...at48, bandwidthOctaves: 0 }, 'bandwidthOctaves must be above 0 and below Infinity, got 0'],
  ])('the values %o', (options, message) => {
    for (const name of names) expect(() => designs[name](options)).toThrow(new RangeError(`${name}: ${message}`));
    expect(() => peaking({ ...options, gainDb: 3 })).toThrow(new RangeError(`peaking: ${message}`));
  });

  it.each([{ frequencyHz: 1e-9 }, { q: 1e17 }, { bandwidthOctaves: 1e5 }])(
    'what would have its poles on the unit circle: %o',
    (options) => {
      const message = 'section at this frequencyHz and width must be stable';
      for (const name of names) expect(() => designs[name]({ ...at48, ...options })).toThrow(`${name}: ${message}`);
      expect(() => peaking({ ...at48, ...options, gainDb: 3 })).toThrow(RangeError);
    },
  );

  it('wrong types, and two widths at once', () => {
    const text = { ...at48, q: '1' } as unknown as ResonanceOptions;
    const both = { ...at48, q: 1, bandwidthOctaves: 1 };
    for (const name of names) {
      expect(() => designs[name](text)).toThrow(new TypeError(`${name}: q must be a number, got "1"`));
      expect(() => designs[name](both)).toThrow(
        new TypeError(`${name}: q and bandwidthOctaves must not both be given`),
      );
    }
  });

  it('a gain that is missing or beyond 120 dB', () => {
    expect(() => peaking(at48 as never)).toThrow(
      new TypeError('peaking: gainDb must be a number from -120 to 120, got undefined'),
    );
    expect(() => peaking({ ...at48, gainDb: -121 })).toThrow(
      new RangeError('peaking: gainDb must be -120 to 120, got -121'),
    );
  });
});
