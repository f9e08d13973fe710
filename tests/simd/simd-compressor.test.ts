/** A compressor's gains in WebAssembly against the passes of the plain one, for any double and any setting. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { exp2InPlace, log2InPlace } from '../../src/core/maths.ts';
import { lasting, smoothBranching } from '../../src/dynamics/detector.ts';
import { Compressor, compressorParameters } from '../../src/dynamics/compressor.ts';
import { pastThreshold } from '../../src/dynamics/knee.ts';
import { simdKernels } from '../../src/simd/simd-kernels.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { bursts, firstDifference } from '../support/signals.ts';

const simd = simdKernels()!;

function passes(row: Float64Array, k: Float64Array, state: Float64Array): void {
  log2InPlace(row, row.length);
  pastThreshold(row, row.length, k);
  lasting(row, row.length, k, 10, state);
  smoothBranching(row, row.length, k, 5, state);
  exp2InPlace(row, row.length);
  for (let i = 0; i < row.length; i++) row[i] *= k[8];
}

const between = (min: number, max: number) => fc.oneof(fc.constantFrom(min, max), fc.double({ min, max, noNaN: true }));
const constants = fc
  .tuple(
    between(-13.3, 0), // threshold
    fc.oneof(fc.constantFrom(0, 1e-6, 1.1e-6), between(0, 6.7)), // knee
    between(-0.999, 0), // slope
    fc.oneof(fc.constant(-0), between(-20, 0)), // range
    between(0, 1), // release
    between(0, 1), // attack
    between(0.1, 100), // make-up
    fc.oneof(fc.constant(0), between(0, 1)), // slow release
  )
  .map(([threshold, knee, slope, range, release, attack, makeup, slow]) =>
    Float64Array.of(1, threshold, knee, slope, range, release, attack, 0, makeup, 1, slow),
  );
const levels = fc
  .array(
    fc.oneof(
      fc.double(),
      fc.double({ min: 0, max: 4, noNaN: true }),
      fc.constantFrom(0, -0, 1, 9.33e-302, 9.34e-302, NaN, Infinity, -Infinity),
    ),
    {
      minLength: 128,
      maxLength: 128,
    },
  )
  .map((values) => Float64Array.from(values));

describe('a compressor in WebAssembly', () => {
  it('makes the gains of the plain passes, and the same state, bit for bit', () => {
    const state = new Float64Array(2),
      plainState = new Float64Array(2);
    fc.assert(
      fc.property(constants, levels, (k, row) => {
        const plain = row.slice();
        passes(plain, k, plainState);
        simd.compressor.gains(row, k, state);
        expect(firstDifference(row, plain)).toBe(-1);
        expect(firstDifference(state, plainState)).toBe(-1);
      }),
    );
  });

  it.each([
    ['alone', { thresholdDb: -30, attackMs: 1, mixPercent: 40 }, 1],
    ['linked', { thresholdDb: -30, attackMs: 1 }, 3],
    ['unlinked', { thresholdDb: -30, linkPercent: 0 }, 2],
    ['slow and late', { slowReleaseMs: 300, lookaheadMs: 2, makeupDb: 6, mixPercent: 70 }, 2],
    ['of the mean square', { detector: 'rms', kneeDb: 0, ratio: 20, rangeDb: 12 }, 2],
  ] as const)('traces and sounds as the plain one does: %s', (_, options, channels) => {
    const plain = { sampleRateHz: 48000, channels };
    const input = Array.from({ length: channels }, (_, c) => bursts(3000, c + 1));
    const [expected, seen] = [plain, { ...plain, simd }].map((format) => {
      const gainDb = input.map((x) => new Float64Array(x.length));
      const levelDb = input.map((x) => new Float64Array(x.length));
      const output = input.map((x) => new Float64Array(x.length));
      new Compressor(format, options).process(input, output, { trace: { gainDb, levelDb } });
      return [...output, ...gainDb, ...levelDb];
    });
    seen.forEach((row, r) => expect(firstDifference(row, expected[r])).toBe(-1));
    const untraced = render64(new Compressor({ ...plain, simd }, options), input);
    untraced.forEach((row, c) => expect(firstDifference(row, expected[c])).toBe(-1));
  });

  obeysProcessorLaws(
    { sampleRateHz: 48000, channels: 2, simd },
    {
      create: (options) => new Compressor({ sampleRateHz: 48000, channels: 2, simd }, options),
      table: compressorParameters,
      lively: { thresholdDb: -40, ratio: 8, attackMs: 0.1, releaseMs: 1, slowReleaseMs: 20 },
      takesKey: true,
      runs: 10,
    },
  );
});
