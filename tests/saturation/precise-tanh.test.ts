import { describe, expect, it } from 'vitest';
import { preciseTanh, TANH_END } from '../../src/saturation/precise-tanh.ts';

describe('preciseTanh', () => {
  it('is within 2e-10 of the hyperbolic tangent everywhere, odd, and 1 from its end on', () => {
    const x = Float64Array.from({ length: 40_001 }, (_, i) => (i - 20_000) / 1000);
    const u = x.slice();
    preciseTanh()(u, u.length);
    const worst = x.reduce((most, v, i) => Math.max(most, Math.abs(u[i] - Math.tanh(v))), 0);
    expect(worst).toBeLessThan(2e-10);
    for (let i = 0; i <= 20_000; i++) if (u[i] !== -u[40_000 - i]) throw new Error(`not odd at ${x[i]}`);
    const ends = Float64Array.of(TANH_END, -TANH_END, 1e6, -Infinity, 0);
    preciseTanh()(ends, 4);
    expect([...ends]).toEqual([1, -1, 1, -1, 0]);
  });

  it('leaves what stands behind the count', () => {
    const u = Float64Array.of(1, 1);
    preciseTanh()(u, 1);
    expect(u[1]).toBe(1);
  });
});
