import { describe, expect, it } from 'vitest';
import { restoreState, type SavedState, saveState } from '../../src/core/saved-state.ts';
import { antiderivativeForm } from '../../src/saturation/antiderivative-form.ts';
import { lossTaps } from '../../src/saturation/average-loss.ts';
import { CornerCorrection } from '../../src/saturation/corner-correction.ts';
import { hardCurve } from '../../src/saturation/curve-integrals.ts';
import { HardClipper, hardClipperParameters } from '../../src/saturation/hard-clipper.ts';
import { render64 } from '../support/processor-laws.ts';
import { firstDifference, largestDifference, noise, peak } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const GLIDE = 960; // 20 ms at 48 kHz

describe('a clipper', () => {
  const x = [noise(1500, 4)];

  it('with its guard never leaves the ceiling, which it does without', () => {
    const options = { driveDb: 12, ceilingDb: -6, oversampling: 4 } as const;
    const ceiling = 10 ** (-6 / 20);
    expect(peak(render64(new HardClipper(mono, options), x)[0])).toBeGreaterThan(1.1 * ceiling);
    const [guarded] = render64(new HardClipper(mono, { ...options, guard: true }), x);
    expect(peak(guarded)).toBeLessThanOrEqual(ceiling * (1 + 1e-15));
    const [free] = render64(new HardClipper(mono, options), x);
    const cut = free.map((v) => Math.max(-ceiling, Math.min(ceiling, v)));
    expect(largestDifference(guarded, cut)).toBeLessThan(1e-15);
  });

  it('with its guard cuts at the same bits, however far the way overshoots', () => {
    // White noise is no signal for a corner correction without oversampling.
    const options = { driveDb: 48, ceilingDb: -6, oversampling: 1, antialiasing: 'cornerCorrection' } as const;
    const ceiling = 10 ** (-6 / 20);
    expect(peak(render64(new HardClipper(mono, options), x)[0])).toBeGreaterThan(4 * ceiling);
    const sizes = render64(new HardClipper(mono, { ...options, guard: true }), x)[0].map(Math.abs);
    const cut = new Set(sizes.filter((size) => size > ceiling * (1 - 1e-12)));
    expect(cut.size).toBe(1);
    expect(peak(sizes) / ceiling).toBeCloseTo(1, 14);
  });

  it('moves what is above by the share that the guard has come in by: a raised cosine over 20 ms', () => {
    const options = { driveDb: 12, ceilingDb: -6, oversampling: 2 } as const;
    const ceiling = 10 ** (-6 / 20);
    const clipper = new HardClipper(mono, options);
    clipper.set({ guard: true });
    const [y] = render64(clipper, x);
    const [free] = render64(new HardClipper(mono, options), x);
    const expected = free.map((v, n) => {
      const share = n + 1 >= GLIDE ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * (n + 1)) / GLIDE);
      const cut = Math.max(-ceiling, Math.min(ceiling, v));
      return v + share * (cut - v);
    });
    expect(largestDifference(y, expected)).toBeLessThan(1e-12);
  });

  it('at one rate is the bare form of second order, between drive and ceiling, again after a reset', () => {
    const options = { driveDb: 9, ceilingDb: -4, oversampling: 1, antialiasing: 'secondAntiderivative' } as const;
    const clipper = new HardClipper(mono, options);
    const ceiling = 10 ** (-4 / 20),
      drive = 10 ** (9 / 20);
    const bare = antiderivativeForm(
      hardCurve,
      2,
      x[0].map((v) => (drive * v) / ceiling),
    ).map((v) => ceiling * v);
    const [first] = render64(clipper, x);
    expect(largestDifference(first, bare)).toBeLessThan(1e-12);
    clipper.reset();
    expect(firstDifference(render64(clipper, x)[0], first)).toBe(-1);
  });
});

describe('the ways of antialiasing at one rate', () => {
  const x = noise(500, 6);
  const options = { driveDb: 20 * Math.log10(2), ceilingDb: 0, oversampling: 1 } as const;

  it('firstAntiderivative is the bare form of first order, and half a sample of delay', () => {
    const [y] = render64(new HardClipper(mono, { ...options, antialiasing: 'firstAntiderivative' }), [x]);
    const form = antiderivativeForm(
      hardCurve,
      1,
      x.map((v) => 2 * v),
    );
    const taps = lossTaps(1, 1);
    const expected = form.map((_, n) => taps.reduce((sum, tap, j) => sum + tap * (form[n - j] ?? 0), 0));
    expect(largestDifference(y, expected)).toBeLessThan(1e-12);
  });

  it('cornerCorrection is the corner correction', () => {
    const [y] = render64(new HardClipper(mono, { ...options, antialiasing: 'cornerCorrection' }), [x]);
    const corrected = x.slice();
    new CornerCorrection(hardCurve, 500).run(corrected, 500, Float64Array.of(2, 1));
    expect(largestDifference(y, corrected)).toBeLessThan(1e-12);
  });

  it.each(hardClipperParameters.antialiasing.choices)('%s goes on from a saved state', (antialiasing) => {
    const [one, other] = [0, 0].map(() => new HardClipper(mono, { ...options, antialiasing }));
    render64(one, [x]);
    restoreState(other, JSON.parse(JSON.stringify(saveState(one))) as SavedState);
    expect(firstDifference(render64(other, [x])[0], render64(one, [x])[0])).toBe(-1);
  });
});

describe('the bare form of second order', () => {
  it('is the mean of the curve where its three points all but coincide', () => {
    for (const at of [0.2, -0.7, 3]) {
      for (const [d, e] of [
        [1e-5, 2e-5],
        [-1e-5, 1e-4],
        [0, 0],
      ]) {
        const [, , y] = antiderivativeForm(hardCurve, 2, Float64Array.of(at, at + d, at + e));
        const clip = (v: number): number => Math.max(-1, Math.min(1, v));
        expect(Math.abs(y - (clip(at) + clip(at + d) + clip(at + e)) / 3)).toBeLessThan(1e-9);
      }
    }
  });
});
