import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decibelAxis, frequencyAxis, linearAxis } from '../../src/plots/axis.ts';
import { evenRange, levelRange, roundRange } from '../../src/plots/range.ts';

const texts = (axis: { ticks: readonly { text: string }[] }) => axis.ticks.map(({ text }) => text).filter(Boolean);

describe('a linear axis', () => {
  it('puts values in proportion', () => {
    const { position } = linearAxis({ label: 'Time (ms)', from: -2, to: 8 });
    expect([-2, 0, 3, 8, 18].map(position)).toEqual([0, 0.2, 0.5, 1, 2]);
  });

  it('is marked at multiples of 1, 2 or 5 times a power of ten, with a true minus and no minus zero', () => {
    expect(texts(linearAxis({ label: '', from: -1, to: 1 }))).toEqual(
      ['-1.0', '-0.5', '0.0', '0.5', '1.0'].map((text) => text.replace('-', '\u2212')),
    );
    expect(texts(linearAxis({ label: '', from: 0, to: 0.0017 })).slice(0, 3)).toEqual(['0.0000', '0.0005', '0.0010']);
    expect(texts(linearAxis({ label: '', from: 95, to: 1234, parts: 6 }))).toEqual([
      '200',
      '400',
      '600',
      '800',
      '1000',
      '1200',
    ]);
  });

  it('has ticks within its ends and no more parts than asked for, whatever its ends', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        fc.double({ min: 1e-3, max: 1e6, noNaN: true }),
        fc.integer({ min: 1, max: 20 }),
        (from, span, parts) => {
          const to = from + span;
          for (const axis of [
            linearAxis({ label: '', from, to, parts }),
            decibelAxis({ label: '', from, to, parts }),
          ]) {
            expect(axis.ticks.length).toBeLessThanOrEqual(parts + 1);
            for (const { value } of axis.ticks) {
              expect(axis.position(value)).toBeGreaterThan(-1e-6);
              expect(axis.position(value)).toBeLessThan(1 + 1e-6);
            }
          }
        },
      ),
    );
  });

  it.each([
    [{ from: 1, to: 1 }, 'linearAxis: to must be above from, got 1 and 1'],
    [{ from: 1, to: 0 }, 'linearAxis: to must be 1 to 1000000000000, got 0'],
    [{ from: NaN, to: 0 }, 'linearAxis: from must be -1000000000000 to 1000000000000, got NaN'],
    [{ from: 0, to: 1, parts: 0 }, 'linearAxis: parts must be 1 to 50, got 0'],
  ])('refuses %j', (ends, message) => {
    expect(() => linearAxis({ label: '', ...ends })).toThrow(new RangeError(message));
  });
});

describe('a level axis', () => {
  it('counts in 6 and 12 dB', () => {
    expect(decibelAxis({ label: '', from: -36, to: 0 }).ticks.map(({ value }) => value)).toEqual(
      [-36, -30, -24, -18, -12, -6, 0].map((v) => v + 0),
    );
    expect(texts(decibelAxis({ label: '', from: -60, to: 0 }))).toHaveLength(6);
    expect(texts(decibelAxis({ label: '', from: 0, to: 0.4 }))).toEqual([
      '0.00',
      '0.05',
      '0.10',
      '0.15',
      '0.20',
      '0.25',
      '0.30',
      '0.35',
      '0.40',
    ]);
  });
});

describe('a frequency axis', () => {
  it('gives every octave the same room', () => {
    const { position } = frequencyAxis();
    expect(position(20)).toBe(0);
    expect(position(20_000)).toBe(1);
    expect(position(200)).toBeCloseTo(1 / 3, 12);
    expect(position(2000) - position(1000)).toBeCloseTo(Math.log10(2) / 3, 12);
  });

  it('has a line at every digit and a number at 1, 2 and 5', () => {
    expect(texts(frequencyAxis())).toEqual(['20', '50', '100', '200', '500', '1k', '2k', '5k', '10k', '20k']);
    expect(frequencyAxis().ticks).toHaveLength(28); // 20 to 90, 100 to 900, 1k to 9k, 10k, 20k
    expect(texts(frequencyAxis({ from: 0.05, to: 2 }))).toEqual(['0.05', '0.1', '0.2', '0.5', '1', '2']);
  });

  it('refuses 0 Hz', () => {
    expect(() => frequencyAxis({ from: 0 })).toThrow(RangeError);
  });
});

describe('ranges', () => {
  it('end at round values beyond the data, and leave out what is not finite', () => {
    expect(roundRange([[0.12, NaN], [3.4]])).toEqual({ from: 0, to: 3.5 });
    expect(roundRange([[5, 5]])).toEqual({ from: 4.375, to: 5.625 });
    expect(roundRange([[]])).toEqual({ from: 0, to: 1 });
    expect(levelRange([[-Infinity, -300, -6.1, 3]], 72)).toEqual({ from: -72, to: 12 });
    expect(evenRange([[-0.3, 0.71]])).toEqual({ from: -0.8, to: 0.8 });
    expect(evenRange([[0, 0]])).toEqual({ from: -1, to: 1 });
  });
});
