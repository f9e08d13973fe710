import { describe, expect, it } from 'vitest';
import { defaultOf, maximumOf } from '../../src/core/parameters.ts';

describe('rows of a parameter table', () => {
  it('end at 0.49 of the sample rate where they say so, and so does their default', () => {
    const row = { default: 16_000, min: 20, max: 'nyquist' } as const;
    expect([8000, 48_000].map((rate) => maximumOf(row, rate))).toEqual([3920, 23_520]);
    expect([8000, 48_000].map((rate) => defaultOf(row, rate))).toEqual([3920, 16_000]);
  });

  it('have one default at every rate else', () => {
    expect(defaultOf({ default: 0, min: -60, max: 12 }, 8000)).toBe(0);
    expect(defaultOf({ default: 'tanh', choices: ['cubic', 'tanh'] }, 8000)).toBe('tanh');
    expect(defaultOf({ default: true }, 8000)).toBe(true);
  });
});
