import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DelayLine } from '../../src/core/delay-line.ts';
import { DryWet } from '../../src/core/dry-wet.ts';
import { Glide } from '../../src/core/glide.ts';
import { KeyInput } from '../../src/core/key-input.ts';
import type { NumberRow } from '../../src/core/parameters.ts';
import { restoreState, saveState } from '../../src/core/saved-state.ts';
import { SlidingMinimum } from '../../src/core/sliding-minimum.ts';
import { positionOfValue, valueAtPosition } from '../../src/core/taper.ts';
import { Gain } from '../../src/core/gain.ts';
import { Gate } from '../../src/dynamics/gate.ts';
import { Delay } from '../../src/core/delay.ts';
import { Chain } from '../../src/core/chain.ts';
import { render64 } from '../support/processor-laws.ts';
import { firstDifference, largestDifference, noise, numbers } from '../support/signals.ts';

/** Cuts a signal into pieces of 1 to 128 samples and hands each to `use`, as the front of a scratch array. */
function inPieces(signal: Float64Array, seed: number, use: (piece: Float64Array, count: number) => void): Float64Array {
  const next = numbers(seed);
  const output = signal.slice();
  const piece = new Float64Array(128);
  for (let at = 0; at < signal.length;) {
    const count = Math.min(signal.length - at, 1 + Math.floor(next() * 128));
    piece.set(signal.subarray(at, at + count));
    use(piece, count);
    output.set(piece.subarray(0, count), at);
    at += count;
  }
  return output;
}

describe('DelayLine', () => {
  it('gives back any while ago, whatever the pieces, round its ring and round again', () => {
    const x = noise(5000);
    for (const delay of [0, 1, 63, 64, 200]) {
      const line = new DelayLine(200);
      const y = inPieces(x, delay + 1, (piece, count) => {
        line.write(piece, count);
        line.read(piece, count, delay);
      });
      expect(firstDifference(y.subarray(delay), x.subarray(0, 5000 - delay))).toBe(-1);
      expect(y.subarray(0, delay).every((v) => v === 0)).toBe(true);
    }
  });
});

describe('SlidingMinimum', () => {
  it('is the minimum of the last L + 1 samples, as if all before had been the rest', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 300 }), fc.integer({ min: 1, max: 1e9 }), (length, seed) => {
        const x = noise(1000, seed).map((v) => Math.round(8 * v) / 8); // equal values are the hard case
        const minimum = new SlidingMinimum(length, 0.5);
        const found = inPieces(x, seed, (piece, count) => {
          minimum.process(piece, count);
        });
        const naive = x.map((_, n) => {
          let least = n < length ? 0.5 : Infinity;
          for (let i = Math.max(0, n - length); i <= n; i++) least = Math.min(least, x[i]);
          return least;
        });
        return largestDifference(found, naive) === 0; // of 0 and -0 either may be the least
      }),
      { numRuns: 40 },
    );
  });

  it('starts anew after a reset', () => {
    const minimum = new SlidingMinimum(5, 1);
    const once = (): Float64Array =>
      inPieces(noise(100), 3, (piece, count) => {
        minimum.process(piece, count);
      });
    const first = once();
    minimum.reset();
    expect(firstDifference(once(), first)).toBe(-1);
  });
});

describe('Glide', () => {
  it('takes 20 ms to follow half a period of a cosine, and then stays exactly', () => {
    const glide = new Glide([0, 5], 48000);
    glide.start([1, 3]);
    let worst = 0,
      n = 0;
    while (glide.active) {
      glide.step();
      n++;
      worst = Math.max(worst, Math.abs(glide.value[0] - (1 - Math.cos((Math.PI * n) / 960)) / 2));
    }
    expect(n).toBe(960);
    expect(worst).toBeLessThan(1e-15);
    expect(Array.from(glide.value)).toEqual([1, 3]);
  });
});

describe('Glide, asked again', () => {
  const through = (glide: Glide, steps: number): void => {
    for (let n = 0; n < steps; n++) glide.step();
  };

  it('stays where it is, and on its way where it is going', () => {
    const glide = new Glide([1, 2], 48000);
    glide.start([1, 2]);
    expect(glide.active).toBe(false);
    glide.start([1, 4]);
    through(glide, 400);
    const there = Array.from(glide.value);
    glide.start([1, 4]);
    through(glide, 560);
    expect([glide.active, ...glide.value]).toEqual([false, 1, 4]);
    expect(there[1]).toBeGreaterThan(2);
  });

  it('sets off anew for a target of which one number is another, from where it is', () => {
    const glide = new Glide([1, 2], 48000);
    glide.start([1, 4]);
    through(glide, 480); // half of the way
    expect(glide.value[1]).toBeCloseTo(3, 12);
    glide.start([5, 4]);
    through(glide, 480);
    expect([...glide.value].map((v) => Number(v.toFixed(9)))).toEqual([3, 3.5]);
    through(glide, 480);
    expect([glide.active, ...glide.value]).toEqual([false, 5, 4]);
  });

  it('arrives at once at a reset, and turns back to where it set off from', () => {
    const glide = new Glide([1], 48000);
    glide.start([3]);
    through(glide, 100);
    glide.start([1]);
    expect(glide.active).toBe(true);
    through(glide, 50);
    glide.reset();
    expect([glide.active, ...glide.value]).toEqual([false, 1]);
  });

  it('sets off again for where it is, once its value has been put elsewhere, as for a second cross-fade', () => {
    const glide = new Glide([1], 48000);
    glide.value[0] = 0;
    glide.start([1]);
    through(glide, 480);
    expect(glide.value[0]).toBeCloseTo(0.5, 12);
  });

  it('keeps all that it needs to go on in its state', () => {
    const [one, other] = [new Glide([1], 48000), new Glide([0], 48000)];
    one.start([3]);
    through(one, 100);
    one.state.forEach((array, i) => other.state[i].set(array));
    through(one, 300);
    through(other, 300);
    expect(other.value).toEqual(one.value);
  });
});

describe('DryWet', () => {
  /** The mix of a signal with another, late by 5, at a share. */
  const mixed = (share: number, dry: Float64Array, wet: Float64Array, dryWet = new DryWet(1, 5)): Float64Array => {
    const y = wet.slice();
    dryWet.keep([dry], dry.length);
    dryWet.mix([y], y.length, Float64Array.of(9, share), 1);
    return y;
  };
  const [dry, wet] = [noise(100, 1), noise(100, 2)];
  const late = Float64Array.of(0, 0, 0, 0, 0, ...dry.subarray(0, 95));

  it('is the delayed input at 0 and the output at 1, bit for bit, and in between the straight line', () => {
    expect(firstDifference(mixed(0, dry, wet), late)).toBe(-1);
    expect(firstDifference(mixed(1, dry, wet), wet)).toBe(-1);
    const quarter = wet.map((v, n) => 0.75 * late[n] + 0.25 * v);
    expect(largestDifference(mixed(0.25, dry, wet), quarter)).toBeLessThan(1e-15);
  });

  it('at 0 is the input even where the output is no number', () => {
    expect(
      firstDifference(
        mixed(
          0,
          dry,
          wet.map(() => NaN),
        ),
        late,
      ),
    ).toBe(-1);
  });

  it('forgets the input at a reset, and has it in its state', () => {
    const dryWet = new DryWet(1, 5);
    mixed(0, dry, wet, dryWet);
    expect(dryWet.state.some((array) => array.includes(dry[99]))).toBe(true);
    dryWet.reset();
    expect(firstDifference(mixed(0, dry, wet, dryWet), late)).toBe(-1);
  });
});

describe('KeyInput', () => {
  it('loads every channel of a key, guarded, whatever their number', () => {
    const input = new KeyInput();
    const key = [Float32Array.of(0, 1, -2), Float32Array.of(0, NaN, 4), Float32Array.of(0, 1e7, 5)];
    input.expect('X', key, 3);
    expect(input.load(key, 1, 2, false)).toBe(2);
    expect(input.rows.map((row) => row.slice(0, 2))).toEqual(
      [
        [1, -2],
        [0, 4],
        [0, 5],
      ].map((x) => Float64Array.from(x)),
    );
    input.expect('X', key.slice(0, 1), 3);
    expect(input.rows).toHaveLength(1);
  });

  it('refuses arrays of another length, and more than 64 channels', () => {
    const input = new KeyInput();
    expect(() => {
      input.expect('X', [new Float32Array(2)], 3);
    }).toThrow('X: key[0].length must be 3, got 2');
    const wide = Array.from({ length: 65 }, () => new Float32Array(1));
    input.expect('X', wide.slice(1), 1);
    expect(input.rows).toHaveLength(64);
    expect(() => {
      input.expect('X', wide, 1);
    }).toThrow('X: key must be at most 64 channels, got 65');
  });
});

describe('tapers', () => {
  const rows: readonly NumberRow[] = [
    { default: 0, min: -60, max: 12 },
    { default: 1000, min: 20, max: 'nyquist', taper: 'log' },
    { default: 10, min: 0, max: 1000, taper: 'square' },
  ];
  for (const row of rows) {
    it(`${row.taper ?? 'linear'}: goes from end to end, and back to where it came from`, () => {
      const max = row.max === 'nyquist' ? 23520 : row.max;
      expect(valueAtPosition(row, 0, 48000)).toBe(row.min);
      expect(valueAtPosition(row, 1, 48000)).toBe(max);
      for (let position = 0; position <= 1; position += 1 / 32) {
        expect(positionOfValue(row, valueAtPosition(row, position, 48000), 48000)).toBeCloseTo(position, 12);
      }
    });
  }

  it('log: equal ratios over equal travel; square: a quarter of the range at half the travel', () => {
    const log: NumberRow = { default: 100, min: 10, max: 1000, taper: 'log' };
    expect(valueAtPosition(log, 0.5, 48000)).toBeCloseTo(100, 10);
    expect(valueAtPosition(rows[2], 0.5, 48000)).toBe(250);
  });

  it('rounds whole numbers, and refuses what lies outside', () => {
    const order: NumberRow = { default: 2, min: 1, max: 16, integer: true };
    expect(valueAtPosition(order, 0.5, 48000)).toBe(9);
    expect(() => valueAtPosition(order, 1.1, 48000)).toThrow('valueAtPosition: position must be 0 to 1, got 1.1');
    expect(() => positionOfValue(order, 17, 48000)).toThrow('positionOfValue: value must be 1 to 16, got 17');
  });
});

describe('saveState and restoreState', () => {
  const mono = { sampleRateHz: 48000, channels: 1 };
  const make = (gainDb = 0, delaySamples = 3) =>
    new Chain(mono, [new Gain(mono, { gainDb }), new Delay(mono, { delaySamples, maximumSamples: 10 })]);

  it('carry parameters, options on their way and samples through JSON', () => {
    const chain = make(-6);
    render64(chain, [noise(100)]);
    chain.set({ 0: { gainDb: 3 }, 1: { delaySamples: 7 } });
    const other = make();
    restoreState(other, JSON.parse(JSON.stringify(saveState(chain))) as ReturnType<typeof saveState>);
    const x = [noise(2000, 5)];
    expect(firstDifference(render64(other, x)[0], render64(chain, x)[0])).toBe(-1);
  });

  it('keep the time that options in flight still have to go', () => {
    const late = () =>
      new Chain(mono, [new Gate(mono, { lookaheadMs: 5, thresholdDb: -120, attackMs: 0 }), new Gain(mono)]);
    const chain = late();
    render64(chain, [noise(1000)]);
    chain.set({ 1: { gainDb: -60 } }); // reaches the gain 240 samples from here
    render64(chain, [noise(100)]);
    const other = late();
    restoreState(other, JSON.parse(JSON.stringify(saveState(chain))) as ReturnType<typeof saveState>);
    const x = [noise(2000, 5)];
    expect(firstDifference(render64(other, x)[0], render64(chain, x)[0])).toBe(-1);
  });

  it('carry the sign of a zero', () => {
    const [one, other] = [0, 0].map(() => new Delay(mono, { delaySamples: 1, maximumSamples: 1 }));
    render64(one, [Float64Array.of(-0)]);
    const saved = saveState(one);
    expect(saved.arrays.flat()).toContain('-0');
    restoreState(other, JSON.parse(JSON.stringify(saved)) as typeof saved);
    expect(Object.is(render64(other, [Float64Array.of(1)])[0][0], -0)).toBe(true);
  });

  it('hold the parameters as they were, whatever is set later', () => {
    const gain = new Gain(mono, { gainDb: -6 });
    const saved = saveState(gain);
    gain.set({ gainDb: 3 });
    expect(saved.settings.values).toEqual({ gainDb: -6 });
    restoreState(gain, saved);
    expect(gain.values.gainDb).toBe(-6);
  });

  it('refuse a state that does not fit, and change nothing then', () => {
    const saved = saveState(make(-6));
    const target = make(2);
    const wrong = [
      saveState(new Gain(mono)),
      { ...saved, arrays: saved.arrays.map((array) => array.map(() => NaN)) },
      { ...saved, settings: { ...saved.settings, inner: [] } },
      {
        ...saved,
        settings: { ...saved.settings, inner: [{ values: { gainDb: 999 }, inner: [] }, saved.settings.inner[1]] },
      },
      {
        ...saved,
        settings: {
          ...saved.settings,
          inner: [saved.settings.inner[0], { values: { maximumSamples: 11 }, inner: [] }],
        },
      },
    ];
    for (const state of wrong)
      expect(() => {
        restoreState(target, state);
      }).toThrow();
    const attempt = (state: (typeof wrong)[number]) => () => {
      restoreState(target, state);
    };
    const unfit = 'restoreState: the state must come from a processor of the same format and fixed options';
    expect(attempt(wrong[0])).toThrow(unfit);
    expect(attempt({ ...saved, arrays: saved.arrays.map((array, a) => (a === 1 ? [...array, 0] : array)) })).toThrow(
      unfit,
    );
    for (const arrays of [saved.arrays.slice(1), saved.arrays.slice(0, -1), [...saved.arrays, []]])
      expect(attempt({ ...saved, arrays })).toThrow(unfit);
    expect(attempt(wrong[1])).toThrow('restoreState: the state must hold finite numbers only');
    expect(attempt(wrong[2])).toThrow('restoreState: the state must hold 2 inner processors, got 0');
    const x = [noise(50)];
    expect(firstDifference(render64(target, x)[0], render64(make(2), x)[0])).toBe(-1);
  });
});
