import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  firstOrderAllpass,
  firstOrderHighpass,
  firstOrderHighShelf,
  firstOrderLowpass,
  firstOrderLowShelf,
} from '../../src/filters/first-order-design.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { analogResponse, corners, type Prototype, polar, size, warped } from './analog-prototypes.ts';

const gains = fc.double({ min: -24, max: 24, noNaN: true });
const designs = {
  firstOrderLowpass: (corner: { sampleRateHz: number; frequencyHz: number }) => firstOrderLowpass(corner),
  firstOrderHighpass: (corner: { sampleRateHz: number; frequencyHz: number }) => firstOrderHighpass(corner),
  firstOrderAllpass: (corner: { sampleRateHz: number; frequencyHz: number }) => firstOrderAllpass(corner),
  firstOrderLowShelf: (corner: { sampleRateHz: number; frequencyHz: number }, gainDb: number) =>
    firstOrderLowShelf({ ...corner, gainDb }),
  firstOrderHighShelf: (corner: { sampleRateHz: number; frequencyHz: number }, gainDb: number) =>
    firstOrderHighShelf({ ...corner, gainDb }),
};
const prototypes: Record<keyof typeof designs, (a: number) => Prototype> = {
  firstOrderLowpass: () => [[1], [1, 1]],
  firstOrderHighpass: () => [
    [0, 1],
    [1, 1],
  ],
  firstOrderAllpass: () => [
    [1, -1],
    [1, 1],
  ],
  firstOrderLowShelf: (a) => [
    [a, 1],
    [1 / a, 1],
  ],
  firstOrderHighShelf: (a) => [
    [1, a],
    [1, 1 / a],
  ],
};
const names = Object.keys(designs) as (keyof typeof designs)[];
const at48 = { sampleRateHz: 48000, frequencyHz: 1000 };

describe.each(names)('%s', (name) => {
  it('equals its analog prototype at the warped frequency', () => {
    fc.assert(
      fc.property(corners(), gains, ({ sampleRateHz, frequencyHz }, gainDb) => {
        const frequenciesHz = [0.01, 0.9, 1, 7].map((x) => x * frequencyHz).filter((f) => f < 0.499 * sampleRateHz);
        const section = designs[name]({ sampleRateHz, frequencyHz }, gainDb);
        const response = frequencyResponse([section], { sampleRateHz, frequenciesHz });
        const errors = frequenciesHz.map((f, i) => {
          const prototype = prototypes[name](10 ** (gainDb / 40));
          const wanted = analogResponse(prototype, warped(f, frequencyHz, sampleRateHz));
          const got = polar(response.magnitudeDb[i], response.phaseRadians[i]);
          return Math.hypot(got.re - wanted.re, got.im - wanted.im) / size(wanted);
        });
        expect(Math.max(...errors)).toBeLessThan(1e-10); // a pole at distance w0 keeps far more digits than a pair
        expect([section.b2, section.a2]).toEqual([0, 0]);
      }),
    );
  });

  it('refuses a corner at half the sample rate', () => {
    expect(() => designs[name]({ ...at48, frequencyHz: 24000 }, 3)).toThrow(
      new RangeError(`${name}: frequencyHz must be above 0 and below 24000, got 24000`),
    );
  });

  it('refuses a corner so low that its pole rounds to the unit circle', () => {
    expect(() => designs[name]({ ...at48, frequencyHz: 1e-15 }, 3)).toThrow(`${name}: section at this frequencyHz`);
  });
});

describe.each(['firstOrderLowShelf', 'firstOrderHighShelf'] as const)('%s', (name) => {
  it('refuses more than 120 dB', () => {
    expect(() => designs[name](at48, 121)).toThrow(new RangeError(`${name}: gainDb must be -120 to 120, got 121`));
  });
});

describe('first-order filters', () => {
  const level = (section: Parameters<typeof frequencyResponse>[0][number], f: number): number =>
    frequencyResponse([section], { sampleRateHz: 48000, frequenciesHz: [f] }).magnitudeDb[0];

  it('are -3.0103 dB at the corner and exactly silent at their far end', () => {
    expect(Math.abs(level(firstOrderLowpass(at48), 1000) + 10 * Math.log10(2))).toBeLessThan(1e-11);
    expect(Math.abs(level(firstOrderHighpass(at48), 1000) + 10 * Math.log10(2))).toBeLessThan(1e-11);
    expect(level(firstOrderLowpass(at48), 24000)).toBe(-Infinity);
    expect(level(firstOrderHighpass(at48), 0)).toBe(-Infinity);
  });

  it('as shelves have half the gain at the corner, all of it at one end and none at the other', () => {
    for (const gainDb of [-24, -6, 6, 24]) {
      const low = firstOrderLowShelf({ ...at48, gainDb });
      const high = firstOrderHighShelf({ ...at48, gainDb });
      const errors = [
        level(low, 0) - gainDb,
        level(low, 1000) - gainDb / 2,
        level(low, 24000),
        level(high, 0),
        level(high, 1000) - gainDb / 2,
        level(high, 24000) - gainDb,
      ];
      expect(Math.max(...errors.map(Math.abs))).toBeLessThan(1e-11);
    }
  });

  it('as shelves of 0 dB are the identity to the last bit', () => {
    for (const section of [firstOrderLowShelf({ ...at48, gainDb: 0 }), firstOrderHighShelf({ ...at48, gainDb: 0 })]) {
      expect([section.b0, section.b1]).toEqual([1, section.a1]);
    }
  });
});
