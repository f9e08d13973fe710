import { describe, expect, it } from 'vitest';
import { LineRotation } from '../../src/reverb/line-rotation.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

const RATE = 48000;
const LINES = 16;
const RATE_HZ = 7;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

const begun = (k: Float64Array): LineRotation => {
  const rotation = new LineRotation(LINES, RATE);
  rotation.beginBlock(k, 1);
  return rotation;
};
const lines = (of: (line: number) => number, count = 128): Float64Array[] =>
  Array.from({ length: LINES }, (_, l) => new Float64Array(count).fill(of(l)));

describe('LineRotation', () => {
  it('turns pair p by a sine of 0.75 to 1.33 times the rate, straight in between', () => {
    const depth = 0.6;
    const k = Float64Array.of(99, depth, RATE_HZ);
    const rotation = new LineRotation(LINES, RATE);
    for (let block = 0; block < 90; block++) {
      rotation.beginBlock(k, 1);
      const x = lines((l) => (l % 2 === 0 ? 1 : 0));
      rotation.process(x, 128, k, 1);
      for (let p = 0; p < LINES / 2; p++) {
        const golden = (p * GOLDEN) % 1;
        const rate = RATE_HZ * (3 / 4 + (4 / 3 - 3 / 4) * golden);
        const sineAt = (b: number) => depth * Math.sin(2 * Math.PI * (golden + (rate * 128 * b) / RATE));
        // (1, 0) becomes (c, s) with t = s / (1 + c), the tangent of half the angle.
        const t = x[2 * p].map((c, i) => x[2 * p + 1][i] / (1 + c));
        const due = t.map((_, i) => sineAt(block) + (i / 128) * (sineAt(block + 1) - sineAt(block)));
        expect(largestDifference(t, due)).toBeLessThan(1e-11);
      }
    }
  });

  it('turns both lines of a pair by the same angle: (0, 1) becomes (-s, c)', () => {
    const k = Float64Array.of(0, 1, RATE_HZ);
    const first = lines((l) => (l % 2 === 0 ? 1 : 0)),
      second = lines((l) => (l % 2 === 0 ? 0 : 1));
    begun(k).process(first, 128, k, 1);
    begun(k).process(second, 128, k, 1);
    for (let l = 0; l < LINES; l += 2) {
      expect(largestDifference(second[l + 1], first[l])).toBe(0);
      expect(
        largestDifference(
          second[l],
          first[l + 1].map((s) => -s),
        ),
      ).toBe(0);
    }
  });

  it('goes on where the piece before ended, and a reset begins anew', () => {
    const k = Float64Array.of(0, 0.5, RATE_HZ);
    const input = lines(() => 0).map((_, l) => noise(128, l + 1));
    const whole = input.map((x) => x.slice()),
      cut = input.map((x) => x.slice());
    const rotation = begun(k);
    rotation.process(whole, 128, k, 1);
    rotation.reset();
    rotation.beginBlock(k, 1);
    for (const [from, to] of [
      [0, 1],
      [1, 50],
      [50, 128],
    ]) {
      rotation.process(
        cut.map((x) => x.subarray(from, to)),
        to - from,
        k,
        1,
      );
    }
    expect(Math.max(...cut.map((x, l) => firstDifference(x, whole[l])))).toBe(-1);
    expect(firstDifference(whole[2], input[2])).toBe(0); // the first pair begins at rest, the second does not
  });

  it('stands still at depth 0: every bit stays, the sign of a zero too', () => {
    const k = Float64Array.of(0, 0, RATE_HZ);
    const input = lines((l) => (l % 2 === 0 ? -0 : -1));
    const x = input.map((row) => row.slice());
    begun(k).process(x, 128, k, 1);
    expect(Math.max(...x.map((row, l) => firstDifference(row, input[l])))).toBe(-1);
  });
});
