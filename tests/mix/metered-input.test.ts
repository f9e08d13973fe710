import { describe, expect, it } from 'vitest';
import { MeteredInput } from '../../src/mix/metered-input.ts';
import { recording } from './mix-support.ts';

describe('a metered input', () => {
  const samples = Float64Array.from({ length: 1000 }, (_, i) => 0.5 * Math.sin(i) + 0.25);
  samples.fill(1, 100, 104); // a clipped run of four
  samples[300] = NaN;
  samples[301] = 2e6;

  it('counts every frame once, however often and by however many it is read', () => {
    const input = new MeteredInput(recording(samples));
    const into = [new Float64Array(400)];
    for (const [start, count] of [
      [0, 400],
      [200, 400],
      [0, 100],
      [590, 400],
      [980, 400],
    ]) {
      expect(input.read(start, into, count)).toBe(Math.min(count, 1000 - start));
    }
    const { peakDb, dcOffset, rmsDb, ...counts } = input.levels;
    expect(counts).toEqual({ channels: 1, frames: 1000, clippedRuns: 1, clippedSamples: 4, nonFiniteSamples: 2 });
    const usable = samples.map((x) => (Math.abs(x) <= 1e6 ? x : 0));
    expect(peakDb).toBe(0);
    expect(dcOffset).toBeCloseTo(usable.reduce((sum, x) => sum + x, 0) / 1000, 9);
    expect(rmsDb).toBeCloseTo(10 * Math.log10(usable.reduce((sum, x) => sum + x * x, 0) / 1000), 9);
  });

  it('has no level for silence', () => {
    const input = new MeteredInput(recording(new Float64Array(10)));
    input.read(0, [new Float64Array(10)], 10);
    expect(input.levels).toMatchObject({ peakDb: null, rmsDb: null, dcOffset: 0, clippedRuns: 0 });
  });
});
