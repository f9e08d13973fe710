import { describe, expect, it } from 'vitest';
import { BiquadKernel } from '../../src/filters/biquad-kernel.ts';
import { GlidingBand } from '../../src/filters/gliding-band.ts';
import { noise } from '../support/signals.ts';

describe('GlidingBand', () => {
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
