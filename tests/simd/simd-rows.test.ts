/** Rows in the memory of the SIMD kernels: what goes in and comes out is what the plain loops would make of it. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { load, store } from '../../src/core/pieces.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { butterworthHighpass } from '../../src/filters/butterworth.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { simdKernels } from '../../src/simd/simd-kernels.ts';
import { bursts, firstDifference } from '../support/signals.ts';

const { rows: simdRows } = simdKernels()!;
const BLOCK = 128;
const LARGEST = 3.4028234663852886e38;

const floats = fc
  .array(fc.oneof({ weight: 20, arbitrary: fc.float({ min: -2, max: 2, noNaN: true }) }, fc.float(), fc.constant(-0)), {
    minLength: BLOCK,
    maxLength: BLOCK,
  })
  .map((values) => Float32Array.from(values));
const doubles = fc
  .array(
    fc.oneof(
      fc.double({ min: -2, max: 2, noNaN: true }),
      fc.double(),
      fc.constantFrom(-0, LARGEST, -LARGEST, 3.4028235677973366e38, -3.4028236e38, 1e-46, 5e-324),
    ),
    { minLength: BLOCK, maxLength: BLOCK },
  )
  .map((values) => Float64Array.from(values));
const channel = fc.integer({ min: 0, max: simdRows.rows.length - 1 });

describe('rows of the SIMD kernels', () => {
  it('take the floats that the guard of the plain loops lets pass, with the same bits, and tell where one may not', () => {
    let taken = 0;
    fc.assert(
      fc.property(channel, floats, (c, source) => {
        const expected = new Float64Array(BLOCK);
        const refused = load(source, 0, BLOCK, expected, false);
        const passed = simdRows.load(c, source);
        if (!passed) return refused > 0 || source.some((x) => Math.abs(x) > 1e6 / BLOCK);
        taken++;
        return refused === 0 && firstDifference(simdRows.rows[c], expected) === -1;
      }),
      { numRuns: 500 },
    );
    expect(taken).toBeGreaterThan(20);
  });

  it.each([
    [1e6, true],
    [1000001, false],
    [NaN, false],
    [-Infinity, false],
  ])('a sample of %d anywhere in silence: %s', (sample, passes) => {
    for (const at of [0, 1, 2, 3, 64, 127]) {
      const source = new Float32Array(BLOCK);
      source[at] = sample;
      expect(simdRows.load(1, source)).toBe(passes);
    }
  });

  it('round to the floats that the plain loops round to, the largest of them where doubles are beyond', () => {
    fc.assert(
      fc.property(channel, doubles, (c, source) => {
        const [expected, target] = [new Float32Array(BLOCK), new Float32Array(BLOCK)];
        store(source, expected, 0, BLOCK);
        simdRows.rows[c].set(source);
        return simdRows.store(c, target) && firstDifference(target, expected) === -1;
      }),
      { numRuns: 500 },
    );
  });

  it('leave doubles, and their own neighbours, alone', () => {
    const row = simdRows.rows[0].fill(7);
    const around = new Float64Array(row.buffer, row.byteOffset - 8 * 16, BLOCK + 32);
    expect(simdRows.load(0, new Float64Array(BLOCK))).toBe(false);
    expect(simdRows.store(0, new Float64Array(BLOCK))).toBe(false);
    expect(row.every((x) => x === 7)).toBe(true);
    expect(simdRows.load(0, new Float32Array(BLOCK).fill(1))).toBe(true);
    expect([...around.subarray(0, 16), ...around.subarray(-16)]).toEqual(new Array(32).fill(0));
  });

  it('do not meet those of a filter that works inside a block', () => {
    const played = [undefined, simdKernels()].map((simd) => {
      const format = { sampleRateHz: 48000, channels: 2, simd };
      const keyFilter = new BiquadCascade(
        format,
        butterworthHighpass({ sampleRateHz: 48000, frequencyHz: 90, order: 8 }),
      );
      const compressor = new Compressor(format, { thresholdDb: -30 }, { keyFilter });
      const y = [1, 2].map((seed) => Float32Array.from(bursts(4096, seed)));
      for (let at = 0; at < 4096; at += BLOCK) {
        const block = y.map((side) => side.subarray(at, at + BLOCK));
        compressor.process(block, block);
      }
      return y;
    });
    expect(played[1].map((y, c) => firstDifference(y, played[0][c]))).toEqual([-1, -1]);
  });
});
