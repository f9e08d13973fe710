import { describe, expect, it } from 'vitest';
import { CorrelationMeter } from '../../src/meters/correlation.ts';

describe('a part of a block, for a meter', () => {
  const block = [new Float64Array(8), new Float64Array(8)];
  const part = (start: number, end: number) => () => {
    new CorrelationMeter({ sampleRateHz: 48000, channels: 2 }).process(block, start, end);
  };

  it.each([
    [-1, 4],
    [5, 4],
    [0, 9],
    [0.5, 4],
    [0, 4.5],
    [0.5, 4.5],
    [NaN, 4],
  ])('may not be %s to %s of 8 samples', (start, end) => {
    expect(part(start, end)).toThrow(
      `CorrelationMeter: start and end must be whole numbers in order, 0 to 8, got "${start} and ${end}"`,
    );
  });

  it('may be empty, or all', () => {
    expect(part(3, 3)).not.toThrow();
    expect(part(0, 8)).not.toThrow();
  });
});
