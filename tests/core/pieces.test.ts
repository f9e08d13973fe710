import { describe, expect, it } from 'vitest';
import {
  BLOCK,
  copyRows,
  cutIntoPieces,
  INPUT_LIMIT,
  isScratch,
  load,
  requireFormat,
  requireShape,
  scratch,
  store,
} from '../../src/core/pieces.ts';
import { noise } from '../support/signals.ts';

describe('the shape of a block', () => {
  it('is as many arrays as channels, all of one length', () => {
    expect(requireShape('X', 'input', [new Float32Array(5), new Float32Array(5)], 2)).toBe(5);
    expect(requireShape('X', 'input', [new Float32Array(5)], 1, 5)).toBe(5);
    expect(requireShape('X', 'input', [], 0)).toBe(0);
    const refused = (block: unknown[], channels: number, length?: number) => () =>
      requireShape('X', 'input', block as Float32Array[], channels, length);
    expect(refused([new Float32Array(5)], 2)).toThrow(new RangeError('X: input must have 2 channels, got 1'));
    expect(refused([new Float32Array(5)], 1, 6)).toThrow(new RangeError('X: input[0].length must be 6, got 5'));
    expect(refused([new Float32Array(5), new Float32Array(4)], 2)).toThrow('X: input[1].length must be 5, got 4');
    expect(refused([[1, 2]], 1)).toThrow(
      new TypeError('X: input[0] must be a Float32Array or a Float64Array, got "object"'),
    );
  });

  it('has a format of 8 to 384 kHz and 1 to 64 channels', () => {
    expect(requireFormat('X', { sampleRateHz: 48000, channels: 2 })).toEqual({ sampleRateHz: 48000, channels: 2 });
    expect(() => requireFormat('X', { sampleRateHz: 7999, channels: 2 })).toThrow(
      'X: sampleRateHz must be 8000 to 384000, got 7999',
    );
    expect(() => requireFormat('X', { sampleRateHz: 48000, channels: 65 })).toThrow(/^X: channels must be/);
    expect(() => requireFormat('X', null)).toThrow(/^X: sampleRateHz must be/);
  });
});

describe('scratch', () => {
  it('is an array of a piece for each channel, and keeps those that are there', () => {
    const rows = scratch(2);
    expect(rows.map((row) => row.length)).toEqual([BLOCK, BLOCK]);
    const first = rows[0];
    expect(scratch(3, rows)).toBe(rows);
    expect([rows.length, rows[0]]).toEqual([3, first]);
  });

  it('is known by length and kind', () => {
    expect(isScratch(scratch(2))).toBe(true);
    expect(isScratch([...scratch(1), new Float32Array(BLOCK)] as never)).toBe(false);
    expect(isScratch([...scratch(1), new Float64Array(BLOCK + 1)])).toBe(false);
    expect(isScratch([new Float64Array(BLOCK - 1), ...scratch(1)])).toBe(false);
  });

  it('comes from long rows as views, the last perhaps shorter', () => {
    const rows = [noise(300, 1), noise(300, 2)];
    const pieces = cutIntoPieces(rows);
    expect(pieces.map((piece) => piece.map((row) => row.length))).toEqual([
      [128, 128],
      [128, 128],
      [44, 44],
    ]);
    pieces.forEach((piece, p) => {
      piece.forEach((row, c) => {
        expect(row).toEqual(rows[c].slice(128 * p, 128 * p + 128));
        expect(row.buffer).toBe(rows[c].buffer);
      });
    });
    expect(cutIntoPieces([new Float64Array(256)])).toHaveLength(2);
  });
});

describe('load', () => {
  it.each([0, 1, 2, 7, 8])('copies %i samples from any place, and touches nothing behind', (count) => {
    const source = noise(20, 3);
    const target = new Float64Array(10).fill(9);
    expect(load(source, 5, count, target, false)).toBe(0);
    expect([...target]).toEqual([...source.slice(5, 5 + count), ...new Float64Array(10 - count).fill(9)]);
  });

  it('counts what is no sample and puts 0 there, wherever it is; the limit itself passes', () => {
    for (const bad of [NaN, Infinity, -Infinity, INPUT_LIMIT * 1.001, -INPUT_LIMIT * 1.001]) {
      for (let at = 0; at < 5; at++) {
        const source = Float64Array.of(1, -2, 3, -4, 5);
        source[at] = bad;
        const target = new Float64Array(5);
        expect(load(source, 0, 5, target, false)).toBe(1);
        expect([...target]).toEqual([1, -2, 3, -4, 5].map((v, i) => (i === at ? 0 : v)));
      }
    }
    const loud = Float64Array.of(INPUT_LIMIT, -INPUT_LIMIT, INPUT_LIMIT);
    const target = new Float64Array(3);
    expect(load(loud, 0, 3, target, false)).toBe(0);
    expect(target).toEqual(loud);
  });

  it('passes everything that is trusted', () => {
    const target = new Float64Array(3);
    expect(load(Float64Array.of(1e9, 2, 1e8), 0, 3, target, true)).toBe(0);
    expect([...target]).toEqual([1e9, 2, 1e8]);
  });
});

describe('store', () => {
  it.each([0, 1, 2, 7, 8])('copies %i samples to any place, and touches nothing around', (count) => {
    const source = noise(10, 4);
    const target = new Float64Array(20).fill(9);
    store(source, target, 5, count);
    const around = new Float64Array(20).fill(9);
    around.set(source.subarray(0, count), 5);
    expect(target).toEqual(around);
  });

  it('rounds to float32, to the largest finite one beyond it, wherever it is; float64 keeps all', () => {
    const largest = 3.4028234663852886e38; // (2 - 2^-23) 2^127, IEEE 754
    for (let at = 0; at < 5; at++) {
      for (const sign of [1, -1]) {
        const source = Float64Array.of(0.1, -0.2, 0.3, -0.4, 0.5);
        source[at] = sign * 1e39;
        const [single, double] = [new Float32Array(5), new Float64Array(5)];
        store(source, single, 0, 5);
        store(source, double, 0, 5);
        expect([...single]).toEqual([...source].map((v, i) => (i === at ? sign * largest : Math.fround(v))));
        expect(double).toEqual(source);
      }
    }
  });
});

describe('copyRows', () => {
  it('copies each row to its target, the first where there are more targets, and nothing where there are none', () => {
    const [a, b] = [Float64Array.of(1, 2), Float64Array.of(3, 4)];
    const target = (rows: number) => Array.from({ length: rows }, () => new Float64Array(4));
    const [two, three, one] = [target(2), target(3), target(1)];
    copyRows([a, b], two, 1, 2);
    expect(two.map((row) => [...row])).toEqual([
      [0, 1, 2, 0],
      [0, 3, 4, 0],
    ]);
    copyRows([a, b], three, 1, 2);
    expect(three[2]).toEqual(Float64Array.of(0, 1, 2, 0));
    copyRows([a, b], one, 0, 1);
    expect(one[0]).toEqual(Float64Array.of(1, 0, 0, 0));
    expect(() => {
      copyRows([a], undefined, 0, 2);
    }).not.toThrow();
  });
});
