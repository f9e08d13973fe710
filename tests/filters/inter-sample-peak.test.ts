import { describe, expect, it } from 'vitest';
import { INTER_SAMPLE_REACH, InterSamplePeaks, interSampleTable } from '../../src/filters/inter-sample-peak.ts';
import { LAST_PLACE } from '../support/tolerances.ts';
import { noise, numbers, sine } from '../support/signals.ts';

const table = interSampleTable();
const TAPS = 2 * INTER_SAMPLE_REACH;

/** Magnitude at grid point p of the interval that begins at sample n. */
function pointOf(x: Float64Array, n: number, p: number): number {
  let sum = 0;
  for (let j = 0; j < TAPS; j++) sum += table.rows[p * TAPS + j] * (x[n - INTER_SAMPLE_REACH + 1 + j] ?? 0);
  return Math.abs(sum);
}

/** Peaks by the class, in pieces of random length, above a floor. */
function search(x: Float64Array, floor: number, seed = 1): Float64Array {
  const finder = new InterSamplePeaks(table);
  const next = numbers(seed);
  const found = new Float64Array(x.length);
  const peaks = new Float64Array(128);
  for (let at = 0; at < x.length;) {
    const count = Math.min(x.length - at, 1 + Math.floor(128 * next()));
    finder.process(x.subarray(at, at + count), count, Float64Array.of(7, floor), 1, peaks);
    found.set(peaks.subarray(0, count), at);
    at += count;
  }
  return found;
}

describe('InterSamplePeaks', () => {
  const signals = [
    noise(3000, 1),
    sine(3000, 997, 48000),
    sine(3000, 19_800, 48000),
    noise(3000, 2).map((v, n) => v * Math.exp(-(n % 500) / 60)),
    noise(3000, 3).map((v) => (Math.abs(v) > 0.97 ? v : 0)),
    noise(3000, 4).map((v) => Math.sign(v)),
  ];

  /** Compares the peaks of a signal with all points of the grid; how many are above the floor. */
  function compare(x: Float64Array, floor: number): number {
    const found = search(x, floor, 1 + Math.round(10 * floor));
    let above = 0;
    for (let i = INTER_SAMPLE_REACH; i < x.length; i++) {
      let expected = floor;
      for (let p = 1; p < 16; p++) expected = Math.max(expected, pointOf(x, i - INTER_SAMPLE_REACH, p));
      // Both sums have 24 products of at most 1, in another order.
      if (!(Math.abs(found[i] - expected) <= TAPS * LAST_PLACE)) throw new Error(`${found[i]}, not ${expected}`);
      if (found[i] > floor) above++;
    }
    return above;
  }

  it('finds the largest of all points of the grid: no bound dismisses too much', () => {
    let above = 0;
    for (const x of signals) for (const floor of [0, 0.3, 0.9, 1, 1.2]) above += compare(x, floor);
    expect(above).toBeGreaterThan(10_000);
  });

  it('finds a single peak between samples of silence, and that of a few samples', () => {
    const alone = new Float64Array(200);
    alone[60] = alone[61] = 1; // the sinc between two ones is above both
    expect(compare(alone, 1)).toBeGreaterThan(0);
    expect(compare(noise(200, 9), 0.2)).toBeGreaterThan(100);
    expect(compare(sine(200, 11_900, 48_000, 1, 0.7), 0.9)).toBeGreaterThan(20);
  });

  it('finds the peaks of high tones, whose samples bend most', () => {
    for (const hertz of [13_000, 15_000, 17_000, 19_000])
      for (const floor of [0.8, 0.9, 0.99]) expect(compare(sine(150, hertz, 48_000), floor)).toBeGreaterThan(0);
  });

  it('hears a sample through the outermost of its taps, and what a level tone ripples by', () => {
    const x = new Float64Array(60);
    x[10] = 1;
    const finder = new InterSamplePeaks(table);
    const found = x.map((_, i) => {
      const peaks = new Float64Array(1);
      finder.process(x.subarray(i, i + 1), 1, Float64Array.of(0), 0, peaks);
      return peaks[0];
    });
    for (let i = INTER_SAMPLE_REACH; i < x.length; i++) {
      const points = Array.from({ length: 15 }, (_, p) => pointOf(x, i - INTER_SAMPLE_REACH, p + 1));
      expect(found[i]).toBeCloseTo(Math.max(...points), 14);
    }
    expect(compare(new Float64Array(100).fill(0.5), 0)).toBeGreaterThan(80);
    expect(compare(sine(100, 23_000, 48_000), 0.5)).toBeGreaterThan(50);
  });

  it('is as new after a reset', () => {
    const finder = new InterSamplePeaks(table);
    const [first, second] = [new Float64Array(100), new Float64Array(100)];
    finder.process(noise(100, 6), 100, Float64Array.of(0), 0, first);
    expect(finder.state.some((array) => array.some((v) => v !== 0))).toBe(true);
    finder.reset();
    finder.process(noise(100, 6), 100, Float64Array.of(0), 0, second);
    expect(second).toEqual(first);
  });

  it('gives the same bits however the signal is cut', () => {
    for (const x of signals) {
      const whole = search(x, 0.5, 1);
      for (const seed of [2, 3, 4]) expect(search(x, 0.5, seed)).toEqual(whole);
    }
  });

  it('interpolates within 0.01 dB up to 20/48 of the sample rate', () => {
    let worst = 0;
    for (let p = 1; p < 16; p++) {
      for (let f = 0; f <= 20 / 48 + 1e-9; f += 1 / 480) {
        let re = 0,
          im = 0;
        for (let j = 0; j < TAPS; j++) {
          const angle = 2 * Math.PI * f * (p / 16 + INTER_SAMPLE_REACH - 1 - j);
          re += table.rows[p * TAPS + j] * Math.cos(angle);
          im += table.rows[p * TAPS + j] * Math.sin(angle);
        }
        worst = Math.max(worst, Math.hypot(re - 1, im));
      }
    }
    expect(20 * Math.log10(1 + worst)).toBeLessThan(0.01);
  });
});
