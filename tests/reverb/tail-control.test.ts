import { describe, expect, it } from 'vitest';
import { TailControl, type TailMode } from '../../src/reverb/tail-control.ts';
import { constant, firstDifference, noise } from '../support/signals.ts';

/** Threshold, range as a gain, hold in samples, coefficients of attack and release. */
type Settings = readonly [number, number, number, number, number];

/** Gains for a dry sound: what becomes of ones, in pieces of `piece` samples. */
function gains(mode: TailMode, settings: Settings, dry: readonly Float64Array[], piece = 5): Float64Array[] {
  const control = new TailControl(mode, piece),
    k = Float64Array.of(77, 88, ...settings, 99);
  const y = dry.map((x) => constant(1, x.length));
  for (let at = 0; at < y[0].length; at += piece) {
    const cut = (rows: readonly Float64Array[]) => rows.map((row) => row.subarray(at, at + piece));
    const count = cut(y)[0].length;
    control.listen(cut(dry), count, k, 2);
    control.apply(cut(y), count);
  }
  return y;
}

/** One sample at a level, 8 silent ones in front of it and 12 behind. */
const tap = (level: number): Float64Array => Float64Array.from({ length: 21 }, (_, n) => (n === 8 ? level : 0));
const at = (from: number, to: number, inside: number, outside: number): number[] =>
  Array.from({ length: 21 }, (_, n) => (n >= from && n < to ? inside : outside));

describe('TailControl that follows at once', () => {
  const settings: Settings = [0.5, 0.125, 3, 0, 0];

  it('is open from a sound at the threshold on, for the hold, and turned down by the range else', () => {
    for (const level of [0.5, -0.5, 2])
      expect([...gains('gate', settings, [tap(level)])[0]]).toEqual(at(8, 11, 1, 0.125));
    expect([...gains('gate', settings, [tap(0.4999)])[0]]).toEqual(at(0, 0, 1, 0.125));
  });

  it('ducks the other way round', () => {
    expect([...gains('duck', settings, [tap(-0.5)])[0]]).toEqual(at(8, 11, 0.125, 1));
    expect([...gains('duck', settings, [tap(0.4999)])[0]]).toEqual(at(0, 0, 0.125, 1));
  });

  it('hears a sound in any channel, and gives all of them one gain', () => {
    const opened = at(8, 11, 1, 0.125);
    for (const loud of [0, 1, 2]) {
      const dry = [0, 1, 2].map((c) => tap(c === loud ? 1 : 0.1));
      expect(gains('gate', settings, dry).map((y) => [...y])).toEqual([opened, opened, opened]);
    }
  });

  it('holds anew from every sound, and without a hold is open for the sound alone', () => {
    const dry = tap(1);
    dry[10] = 1;
    expect([...gains('gate', settings, [dry])[0]]).toEqual(at(8, 13, 1, 0.125));
    expect([...gains('gate', [0.5, 0.125, 0, 0, 0], [tap(1)])[0]]).toEqual(at(8, 9, 1, 0.125));
  });
});

describe('TailControl', () => {
  // Four samples to the hold. The gain g follows a target t as t + a (g - t): a geometric series.
  const settings: Settings = [0.5, 0.25, 4, 0.5, 0.75];
  const toward = (target: number, from: number, coefficient: number, steps: number): number =>
    target + coefficient ** steps * (from - target);

  it('as a gate begins closed, opens by the attack and closes by the release', () => {
    const [y] = gains('gate', settings, [tap(1)]);
    const open = toward(1, toward(0.25, 0, 0.75, 8), 0.5, 4);
    const expected = Array.from({ length: 21 }, (_, n) => {
      if (n < 8) return toward(0.25, 0, 0.75, n + 1);
      return n < 12 ? toward(1, toward(0.25, 0, 0.75, 8), 0.5, n - 7) : toward(0.25, open, 0.75, n - 11);
    });
    y.forEach((v, n) => expect(v).toBeCloseTo(expected[n], 12));
  });

  it('as a duck begins open, goes down by the attack and comes back by the release', () => {
    const [y] = gains('duck', settings, [tap(1)]);
    const down = toward(0.25, 1, 0.5, 4);
    y.forEach((v, n) => {
      const ducked = n < 12 ? toward(0.25, 1, 0.5, n - 7) : toward(1, down, 0.75, n - 11);
      expect(v).toBeCloseTo(n < 8 ? 1 : ducked, 12);
    });
  });

  it('has the same gains however the sound is cut', () => {
    const dry = [noise(500, 1).map((x) => x ** 5), noise(500, 2).map((x) => x ** 5)];
    for (const mode of ['gate', 'duck'] as const) {
      const whole = gains(mode, settings, dry, 500);
      for (const piece of [1, 3, 7, 128]) {
        expect(gains(mode, settings, dry, piece).map((y, c) => firstDifference(y, whole[c]))).toEqual([-1, -1]);
      }
    }
  });

  it('leaves a free tail alone, bit for bit', () => {
    const control = new TailControl('free', 64);
    const y = noise(64, 3);
    control.listen([noise(64)], 64, Float64Array.from(settings), 0);
    control.apply([y], 64);
    expect(firstDifference(y, noise(64, 3))).toBe(-1);
    expect([...control.state[0]]).toEqual([...new TailControl('free', 64).state[0]]);
  });

  it('applies its gain to the samples asked for only', () => {
    const control = new TailControl('gate', 8);
    const y = [constant(1, 8), constant(1, 8)];
    control.listen([constant(1, 8)], 5, Float64Array.of(0.5, 0.125, 3, 0, 0), 0);
    control.apply([y[0]], 5);
    control.listen([new Float64Array(8)], 5, Float64Array.of(0.5, 0.125, 1, 0, 0), 0);
    control.apply([y[1]], 5);
    expect(y.map((row) => [...row])).toEqual([
      [1, 1, 1, 1, 1, 1, 1, 1],
      [1, 1, 0.125, 0.125, 0.125, 1, 1, 1],
    ]);
  });

  it('goes on from its state, which silence leaves alone once the gain has arrived', () => {
    const settled = Float64Array.of(0.5, 0.125, 3, 0, 0);
    const control = new TailControl('gate', 8);
    const state = () => control.state.flatMap((array) => [...array]);
    control.listen([constant(1, 8)], 8, settled, 0);
    expect(state()).toEqual([3, 1]); // samples to go, gain
    control.listen([new Float64Array(8)], 2, settled, 0);
    expect(state()).toEqual([1, 1]);
    for (let block = 0; block < 3; block++) {
      control.listen([new Float64Array(8)], 8, settled, 0);
      expect(state()).toEqual([0, 0.125]);
    }
    control.reset();
    expect(state()).toEqual([0, 0]);
  });
});
