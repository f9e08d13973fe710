import { describe, expect, it } from 'vitest';
import { BiquadKernel } from '../../src/filters/biquad-kernel.ts';
import { GlidingBand } from '../../src/filters/gliding-band.ts';
import { firstDifference, noise } from '../support/signals.ts';

describe('GlidingBand', () => {
  it('arrives at the very coefficients of a band made so, where one of them is all but 0, too', () => {
    const from = { type: 'peaking', frequencyHz: 9000, q: 1, gainDb: 6, order: 2 } as const;
    for (const change of [{ frequencyHz: 12_000 }, { frequencyHz: 12_001, q: 1.3 }, { gainDb: 1e-3 }]) {
      const [moved, made] = [0, 0].map(() => new BiquadKernel(1, 1));
      const band = new GlidingBand(from, moved, 48_000);
      band.moveTo({ ...from, ...change });
      for (let n = 0; n < 960; n++) band.run([new Float64Array(1)], 1);
      expect(band.busy).toBe(false);
      new GlidingBand({ ...from, ...change }, made, 48_000);
      expect(firstDifference(moved.coefficients, made.coefficients)).toBe(-1);
    }
  });

  it('comes to exact rest in silence where it is flushed, and not where it is not', () => {
    const bell = { type: 'peaking', frequencyHz: 1000, q: 1, gainDb: 6, order: 2 } as const;
    const left = (flushed: boolean): number => {
      const kernel = new BiquadKernel(1, 1);
      const band = new GlidingBand(bell, kernel, 48_000);
      band.run([noise(128)], 128);
      // Its poles, of radius 1 - pi f / (q sampleRate) at most, fall by 600 dB in 1100 samples and by 6000 in 11 000.
      for (let piece = 0; piece < 24; piece++) {
        if (flushed) band.flush();
        band.run([new Float64Array(128)], 128);
      }
      return Math.max(...kernel.state[1].map(Math.abs));
    };
    expect(left(true)).toBe(0);
    expect(left(false)).toBeGreaterThan(0);
  });
});
