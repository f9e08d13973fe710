import { describe, expect, it } from 'vitest';
import { langevinTable } from '../../src/saturation/langevin.ts';
import { Magnetisation, magnetise, type Material } from '../../src/saturation/magnetisation.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

const langevin = (x: number): number => (Math.abs(x) < 1e-2 ? x / 3 - x ** 3 / 45 : 1 / Math.tanh(x) - 1 / x);
const rise = (x: number): number => (Math.abs(x) < 1e-2 ? 1 / 3 - x ** 2 / 15 : 1 / x ** 2 - 1 / Math.sinh(x) ** 2);

/** The equation of Jiles and Atherton by the classical method of Runge and Kutta, so many steps to the unit. */
function plainly(field: Float64Array, { pinning: k, reversible: c, coupling: alpha }: Material): Float64Array {
  let [h, m] = [0, 0];
  return field.map((next) => {
    const steps = Math.min(32, Math.ceil(4 * Math.abs(next - h)));
    const dh = (next - h) / steps,
      s = Math.sign(next - h);
    const slope = (at: number, now: number): number => {
      const missing = langevin(at + alpha * now) - now,
        bend = c * rise(at + alpha * now);
      const pinned = missing * s > 0 ? missing / (s * k - (alpha * missing) / (1 - c)) : 0;
      return (pinned + bend) / (1 - alpha * bend);
    };
    for (let n = 0; n < steps; n++) {
      const from = h + n * dh;
      const a = slope(from, m),
        b = slope(from + dh / 2, m + (dh / 2) * a),
        d = slope(from + dh / 2, m + (dh / 2) * b),
        e = slope(from + dh, m + dh * d);
      m = Math.max(-1, Math.min(1, m + (dh * (a + 2 * b + 2 * d + e)) / 6));
    }
    h = next;
    return m;
  });
}

describe('magnetisation, sample by sample', () => {
  const materials: readonly Material[] = [
    { pinning: 1.2, reversible: 0.17, coupling: 0.025 },
    { pinning: 5, reversible: 0.6, coupling: 0.8 },
    { pinning: 0.3, reversible: 0, coupling: 0 },
  ];

  it.each(materials)('is that of the equation by Runge and Kutta: %j', (material) => {
    for (const amplitude of [0.2, 2, 30]) {
      const field = noise(80, 3, amplitude);
      field[20] = field[19]; // a field that rests
      field[40] = 150; // a leap
      // The function from a table, 1e-7; where a field turns upon M = L, a rounding decides on which side.
      expect(largestDifference(magnetise(field, material), plainly(field, material))).toBeLessThan(1e-5);
    }
  });

  it('is that up to the end of its table, and beyond', () => {
    const field = Float64Array.of(8, 16, 24, 31.8, 31.93, 31.99, 32.1, 36);
    expect(largestDifference(magnetise(field, materials[0]), plainly(field, materials[0]))).toBeLessThan(1e-5);
  });

  it('keeps all that it remembers in its state', () => {
    const [one, other] = [0, 0].map(() => new Magnetisation(langevinTable()));
    const k = Float64Array.of(1.2, 0.17, 0.025);
    one.run(noise(50, 5, 4), 50, k);
    one.state.forEach((array, i) => other.state[i].set(array));
    const y = noise(50, 6, 4),
      same = y.slice();
    one.run(y, 50, k);
    other.run(same, 50, k);
    expect(firstDifference(same, y)).toBe(-1);
    expect(firstDifference(y, magnetise(noise(50, 6, 4), materials[0]))).toBeGreaterThanOrEqual(0);
  });

  it('goes on from where it was, and from nothing after a reset', () => {
    const k = Float64Array.of(1.2, 0.17, 0.025);
    const whole = magnetise(noise(100, 5, 4), materials[0]);
    const part = new Magnetisation(langevinTable());
    const y = noise(100, 5, 4);
    part.run(y.subarray(0, 33), 33, k);
    part.run(y.subarray(33), 67, k);
    expect(firstDifference(y, whole)).toBe(-1);
    part.reset();
    const again = noise(100, 5, 4);
    part.run(again, 100, k);
    expect(firstDifference(again, whole)).toBe(-1);
  });

  it('names what it refuses', () => {
    const attempt = (change: Partial<Material>) => () => magnetise(new Float64Array(1), { ...materials[0], ...change });
    expect(attempt({ pinning: 0 })).toThrow(/^magnetise: pinning must be 0\.01 to 100/);
    expect(attempt({ reversible: 0.91 })).toThrow(/^magnetise: reversible must be 0 to 0\.9/);
    expect(attempt({ coupling: -1 })).toThrow(/^magnetise: coupling must be 0 to/);
  });
});
