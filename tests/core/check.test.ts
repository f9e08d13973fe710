import { describe, expect, it } from 'vitest';
import { nearestName, requireInteger, requireRange } from '../../src/core/check.ts';

describe('requireRange', () => {
  it('returns the value, both ends included', () => {
    expect([-1, 0.5, 2].map((value) => requireRange('Gate: x', value, -1, 2))).toEqual([-1, 0.5, 2]);
  });

  it('names owner, parameter, range and value', () => {
    const call = (value: unknown) => () => requireRange('Gate: attackMs', value, 0, 1000);
    expect(call(-3)).toThrow(new RangeError('Gate: attackMs must be 0 to 1000, got -3'));
    expect(call(1000.1)).toThrow(new RangeError('Gate: attackMs must be 0 to 1000, got 1000.1'));
    expect(call(NaN)).toThrow(new RangeError('Gate: attackMs must be 0 to 1000, got NaN'));
    expect(call(Infinity)).toThrow(new RangeError('Gate: attackMs must be 0 to 1000, got Infinity'));
  });

  it('refuses what is not a number, and does not convert it', () => {
    const call = (value: unknown) => () => requireRange('Gate: attackMs', value, 0, 1000);
    const circle: unknown[] = [];
    circle.push(circle); // which JSON cannot show
    for (const [value, shown] of [
      ['3', '"3"'],
      [null, 'null'],
      [undefined, 'undefined'],
      [[3], '[3]'],
      [{ a: 1 }, '{"a":1}'],
      [3n, '3'],
      [true, 'true'],
      [circle, 'object'],
    ]) {
      expect(call(value)).toThrow(
        new TypeError(`Gate: attackMs must be a number from 0 to 1000, got ${shown as string}`),
      );
      expect(call(value)).toThrow(TypeError);
    }
  });
});

describe('requireInteger', () => {
  const call = (value: unknown) => () => requireInteger('Butterworth: order', value, 1, 16);

  it('returns a whole number in range', () => {
    expect([1, 7, 16].map((value) => call(value)())).toEqual([1, 7, 16]);
  });

  it('refuses fractions, numbers out of range and other types', () => {
    expect(call(2.5)).toThrow(new RangeError('Butterworth: order must be a whole number from 1 to 16, got 2.5'));
    expect(call(17)).toThrow(new RangeError('Butterworth: order must be 1 to 16, got 17'));
    expect(call(0)).toThrow(RangeError);
    expect(call('2')).toThrow(TypeError);
  });
});

describe('nearestName', () => {
  const names = ['thresholdDb', 'attackMs', 'releaseMs', 'holdMs', 'ratio'];

  it('finds the name meant by a slip of the finger', () => {
    expect(
      ['treshold', 'atackMs', 'relaseMS', 'hold', 'RATIO', 'ratoi'].map((name) => nearestName(name, names)),
    ).toEqual(['thresholdDb', 'attackMs', 'releaseMs', 'holdMs', 'ratio', 'ratio']);
  });

  it('goes by the share of pairs of letters in common', () => {
    // Dice's worked example: night and nacht share one pair (ht) of 4 + 4; nachtwache has it, too, but is longer.
    expect(nearestName('night', ['nachtwache', 'nacht', 'day'])).toBe('nacht');
    expect(nearestName('kitten', ['sitting', 'mitten'])).toBe('mitten');
    expect(nearestName('treshold', ['rangeDb', 'thresholdDb'])).toBe('thresholdDb');
  });

  it('takes the first of equals, and nothing from nothing', () => {
    expect(nearestName('b', ['a', 'c'])).toBe('a');
    expect(nearestName('', ['abc', 'ab'])).toBe('abc');
    expect(nearestName('a', [])).toBe('');
  });
});
