import { describe, expect, it } from 'vitest';
import { makeSignal, SAMPLE_RATE_HZ } from '../../../examples/envelope-lab/src/signals.ts';

const loud = { levelDb: -6, frequencyHz: 1000 };
const peakBetween = (x: Float32Array, from: number, to: number) =>
  x.subarray(from * SAMPLE_RATE_HZ, to * SAMPLE_RATE_HZ).reduce((most, value) => Math.max(most, Math.abs(value)), 0);
const inDb = (gain: number) => 20 * Math.log10(gain);

describe('test signals', () => {
  it('a step has its level at every sample, 30 dB up and back', () => {
    const step = makeSignal('step', loud);
    const levels = Array.from(step, (x) => inDb(Math.abs(x)));
    const jump = 0.4 * SAMPLE_RATE_HZ,
      back = 1.4 * SAMPLE_RATE_HZ;
    levels.forEach((level, i) => {
      if (Math.abs(level - (i >= jump && i < back ? -6 : -36)) > 1e-5) expect.fail(`sample ${i}: ${level}`);
    });
  });

  it('bursts come every 400 ms at 0, -10 and -20 dB, with silence between them', () => {
    const burst = makeSignal('burst', { ...loud, levelDb: 0 });
    for (let n = 0; n < 6; n++) {
      expect(inDb(peakBetween(burst, 0.4 * n, 0.4 * n + 0.06))).toBeCloseTo(-10 * (n % 3), 1);
      expect(peakBetween(burst, 0.4 * n + 0.061, 0.4 * n + 0.399)).toBe(0);
    }
  });

  it('a sine is steady between its edges', () => {
    const sine = makeSignal('sine', loud);
    for (const at of [0.1, 1, 2.3]) expect(inDb(peakBetween(sine, at, at + 0.01))).toBeCloseTo(-6, 1);
    expect(sine.at(0)).toBe(0);
  });
});
