import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DelayLine } from '../../src/core/delay-line.ts';
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
    const x = [noise(50)];
    expect(firstDifference(render64(target, x)[0], render64(make(2), x)[0])).toBe(-1);
  });
});
