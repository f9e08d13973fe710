import { describe, expect, it } from 'vitest';
import { saveState } from '../../src/core/saved-state.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { firstOrderHighpass } from '../../src/filters/first-order-design.ts';
import { measureHarmonics } from '../../src/saturation/distortion.ts';
import { Hysteresis, hysteresisParameters } from '../../src/saturation/hysteresis.ts';
import { langevin, langevinSlope } from '../../src/saturation/langevin.ts';
import { magnetise, type Material } from '../../src/saturation/magnetisation.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { impulse, largestDifference, noise, peak, rms } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const material: Material = { pinning: 1.2, reversible: 0.17, coupling: 0.025 };
const CYCLE = 1000;

/** Cycles of a sinusoidal field. */
const cycles = (count: number, amplitude: number): Float64Array =>
  Float64Array.from({ length: count * CYCLE + 1 }, (_, i) => amplitude * Math.sin((2 * Math.PI * i) / CYCLE));

/** Energy lost over a cycle, the area of the loop: the integral of H dM by trapezoids. */
function loopArea(field: Float64Array, m: Float64Array, from: number): number {
  let area = 0;
  for (let i = from; i < from + CYCLE; i++) area += ((field[i] + field[i + 1]) / 2) * (m[i + 1] - m[i]);
  return area;
}

/** The equation as it is published, in the plainest words, by Euler's method in tiny steps. */
function plainly(field: Float64Array, { pinning: k, reversible: c, coupling: alpha }: Material, steps: number): number {
  let m = 0,
    h = 0;
  for (const next of field) {
    const dh = (next - h) / steps,
      delta = Math.sign(dh);
    for (let n = 0; n < steps; n++) {
      const q = h + n * dh + alpha * m;
      const anhysteretic = Math.abs(q) < 1e-4 ? q / 3 : 1 / Math.tanh(q) - 1 / q;
      const slope = Math.abs(q) < 1e-3 ? 1 / 3 : 1 / q ** 2 - 1 / Math.sinh(q) ** 2;
      const towards = Math.sign(anhysteretic - m) === delta ? 1 : 0;
      const irreversible =
        ((1 - c) * towards * (anhysteretic - m)) / ((1 - c) * delta * k - alpha * (anhysteretic - m));
      m += ((irreversible + c * slope) / (1 - c * alpha * slope)) * dh;
    }
    h = next;
  }
  return m;
}

describe("Langevin's function", () => {
  it('is coth x - 1/x, and its slope the slope of that', () => {
    for (const x of [0.01, 0.2, 0.4999, 0.5001, 1, 3, 10, 40]) {
      expect(langevin(x)).toBeCloseTo(Math.cosh(x) / Math.sinh(x) - 1 / x, 12);
      expect(langevin(-x)).toBe(-langevin(x));
      expect(langevinSlope(x)).toBeCloseTo((langevin(x + 1e-5) - langevin(x - 1e-5)) / 2e-5, 8);
    }
    // The closed form loses two digits there, the series none.
    for (const x of [0.15, 0.1999, 0.2001])
      expect(langevinSlope(x)).toBeCloseTo(1 / x ** 2 - 1 / Math.sinh(x) ** 2, 12);
    expect(langevin(0)).toBe(0);
    expect(langevinSlope(0)).toBe(1 / 3);
  });
});

describe('magnetisation', () => {
  it('follows the published equation, solved by tiny steps of another method', () => {
    for (const turns of [[0.5], [3], [3, -2], [3, -2, 1], [3, -2, 1, 0], [10, -10, 10]]) {
      const fine = turns.flatMap((to, i) => {
        const from = turns[i - 1] ?? 0;
        return Array.from({ length: 200 }, (_, n) => from + ((to - from) * (n + 1)) / 200);
      });
      const found = magnetise(Float64Array.from(fine), material);
      expect(Math.abs(found[found.length - 1] - plainly(Float64Array.from(turns), material, 200_000))).toBeLessThan(
        2e-4,
      );
    }
  });

  it('of a field too small to move anything is the reversible share of the first slope', () => {
    const { reversible: c, coupling: alpha } = material;
    const [m] = magnetise(Float64Array.of(1e-5), material);
    expect(m / 1e-5).toBeCloseTo(c / 3 / (1 - (alpha * c) / 3), 4);
  });

  it('runs in a loop that closes, the second time round within 1e-4 and the fifth within 1e-12', () => {
    for (const amplitude of [1, 3, 10]) {
      const m = magnetise(cycles(20, amplitude), material);
      expect(Math.abs(m[20 * CYCLE] - m[19 * CYCLE])).toBeLessThan(1e-9);
    }
    const m = magnetise(cycles(6, 3), material);
    expect(Math.abs(m[2 * CYCLE] - m[CYCLE])).toBeLessThan(1e-3);
    expect(Math.abs(m[6 * CYCLE] - m[5 * CYCLE])).toBeLessThan(1e-12);
  });

  it('loses energy in every loop, more in a larger one', () => {
    let before = 0;
    for (const amplitude of [0.3, 1, 3, 10, 30]) {
      const field = cycles(8, amplitude);
      const area = loopArea(field, magnetise(field, material), 7 * CYCLE);
      expect(area).toBeGreaterThan(before);
      before = area;
    }
  });

  it('lags: remains when the field is gone, and takes a field against it of about k to vanish', () => {
    const field = cycles(4, 10);
    const m = magnetise(field, material);
    const gone = 3 * CYCLE + CYCLE / 2; // the field falls through 0
    expect(m[gone]).toBeGreaterThan(0.2);
    let i = gone;
    while (m[i] > 0) i++;
    expect(-field[i]).toBeGreaterThan(0.7 * material.pinning);
    expect(-field[i]).toBeLessThan(1.1 * material.pinning);
  });

  it('depends on the way of the field, not on its speed', () => {
    const slow = magnetise(cycles(3, 3), material);
    const fast = magnetise(
      cycles(3, 3).filter((_, i) => i % 4 === 0),
      material,
    );
    expect(Math.abs(slow[slow.length - 1] - fast[fast.length - 1])).toBeLessThan(2e-5);
  });

  it('is solved to fourth order on the first branch: half the step, a sixteenth of the error', () => {
    const end = (steps: number): number => {
      const m = magnetise(
        Float64Array.from({ length: steps }, (_, i) => (4 * (i + 1)) / steps),
        material,
        0.01, // one step between samples
      );
      return m[steps - 1];
    };
    const exact = end(4096);
    const errors = [4, 8, 16].map((steps) => Math.abs(end(steps) - exact));
    for (let i = 1; i < errors.length; i++) {
      const order = Math.log2(errors[i - 1] / errors[i]);
      expect(order).toBeGreaterThan(3.5);
      expect(order).toBeLessThan(5.5);
    }
  });

  it('stays within the saturation for any field', () => {
    for (const size of [1, 30, 1e4, 1e9]) {
      for (const extreme of [
        material,
        { pinning: 0.2, reversible: 0, coupling: 0.089 },
        { pinning: 5, reversible: 0.9, coupling: 0.2 },
      ]) {
        expect(peak(magnetise(noise(3000, 3, size), extreme))).toBeLessThanOrEqual(1);
      }
    }
  });

  it('refuses a material without friction', () => {
    expect(() => magnetise(new Float64Array(1), { ...material, coupling: 1 })).toThrow(
      /magnetise: coupling must be 0 to 0\.44/,
    );
  });
});

describe('Hysteresis', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new Hysteresis(stereo, o),
    table: hysteresisParameters,
    lively: { driveDb: 12, oversampling: 2, mixPercent: 80, dcCornerHz: 20 },
    arrange: ({ coupling = 0, pinning = 1.2, reversiblePercent = 17, ...o }) => ({
      ...o,
      pinning,
      reversiblePercent,
      coupling: Math.min(coupling, 0.449 * (1 - reversiblePercent / 100) * pinning),
    }),
    runs: 4,
    length: 1500,
  });

  it('at one rate is the material between its field and its level, and a DC block behind', () => {
    const options = {
      driveDb: 9,
      pinning: 0.8,
      reversiblePercent: 30,
      coupling: 0.1,
      outputGainDb: -3,
      dcCornerHz: 20,
    };
    const x = noise(700, 2);
    const field = 10 ** (9 / 20),
      level = (3 * 10 ** (-3 / 20)) / field;
    const moved = magnetise(
      x.map((v) => field * v),
      { pinning: 0.8, reversible: 0.3, coupling: 0.1 },
    );
    const block = new BiquadCascade(mono, [firstOrderHighpass({ sampleRateHz: 48000, frequencyHz: 20 })]);
    const [wet] = render64(block, [moved.map((v) => level * v)]);
    for (const mixPercent of [100, 40]) {
      const hysteresis = new Hysteresis(mono, { ...options, oversampling: 1, mixPercent });
      const expected = wet.map((v, n) => x[n] + (mixPercent / 100) * (v - x[n]));
      expect(largestDifference(render64(hysteresis, [x])[0], expected)).toBeLessThan(1e-12);
    }
  });

  it('makes odd harmonics only, falling with the order', () => {
    const harmonics = measureHarmonics(new Hysteresis(mono, { driveDb: 12, oversampling: 4 }));
    expect(harmonics[3]).toBeGreaterThan(0.02 * harmonics[1]);
    for (const n of [2, 4, 6, 8, 10]) expect(harmonics[n]).toBeLessThan(1e-4 * harmonics[3]);
    for (const n of [3, 5, 7]) expect(harmonics[n + 2]).toBeLessThan(harmonics[n]);
  });

  it('has the harmonics of the bare equation at a hundred times the rate', () => {
    const points = 10_000;
    const field = Float64Array.from({ length: 3 * points }, (_, i) => 4 * Math.sin((2 * Math.PI * i) / points));
    const m = magnetise(field, material).subarray(2 * points);
    const harmonics = measureHarmonics(
      new Hysteresis(mono, { driveDb: 20 * Math.log10(4), pinning: 1.2, dcCornerHz: 0.1 }),
      { frequencyHz: 500 },
    );
    for (const n of [1, 3, 5, 7, 9]) {
      let [re, im] = [0, 0];
      m.forEach((v, i) => {
        re += v * Math.cos((2 * Math.PI * n * i) / points);
        im += v * Math.sin((2 * Math.PI * n * i) / points);
      });
      const expected = ((3 / 4) * 2 * Math.hypot(re, im)) / points;
      expect(Math.abs(20 * Math.log10(harmonics[n] / expected))).toBeLessThan(0.05);
    }
  });

  it('passes of a quiet signal its reversible share, and of a louder one more', () => {
    const gain = (levelDb: number) =>
      measureHarmonics(new Hysteresis(mono, { driveDb: 0, oversampling: 1 }), { levelDb })[1] / 10 ** (levelDb / 20);
    expect(gain(-80)).toBeCloseTo(0.17, 2);
    expect(gain(-6)).toBeGreaterThan(1.5 * gain(-80));
  });

  it('leaves no DC behind, though the material stays magnetised', () => {
    const x = impulse(200_000, 100, 0);
    for (let i = 0; i < 2000; i++) x[i] = Math.sin(i / 300) ** 2;
    const [y] = render64(new Hysteresis(mono), [x]);
    expect(rms(y.subarray(150_000))).toBeLessThan(1e-6);
  });

  it('sounds the same at any sample rate: harmonics up to 9 kHz within 0.1 dB', () => {
    const harmonics = (sampleRateHz: number) =>
      measureHarmonics(new Hysteresis({ sampleRateHz, channels: 1 }, { oversampling: 4 }), { frequencyHz: 600 });
    const [slow, fast] = [22_050, 96_000].map(harmonics);
    for (let n = 1; n <= 15; n += 2) {
      if (fast[n] > 1e-3 * fast[1]) expect(Math.abs(20 * Math.log10(slow[n] / fast[n]))).toBeLessThan(0.1);
    }
  });

  it('comes to rest in silence without denormal numbers', () => {
    const hysteresis = new Hysteresis({ sampleRateHz: 8000, channels: 1 }, { oversampling: 1, dcCornerHz: 20 });
    render64(hysteresis, [noise(500)]);
    render64(hysteresis, [new Float64Array(8000)]);
    const left = saveState(hysteresis).arrays.flat().map(Number).map(Math.abs);
    expect(left.filter((v) => v > 0 && v < 1e-30)).toEqual([]);
  });

  it('takes domains that help each other just as much as friction holds them', () => {
    const hysteresis = new Hysteresis(mono, { pinning: 1, reversiblePercent: 0, coupling: 0.45 });
    expect(peak(render64(hysteresis, [noise(300)])[0])).toBeLessThan(3);
  });

  it('refuses domains that help each other more than friction holds them', () => {
    expect(() => new Hysteresis(mono, { coupling: 0.5 })).toThrow(
      /Hysteresis: coupling must be at most 0.45 \(1 - c\) k = 0\.44/,
    );
    const hysteresis = new Hysteresis(mono, { coupling: 0.4 });
    expect(() => hysteresis.set({ pinning: 0.3 })).toThrow(RangeError);
  });
});
