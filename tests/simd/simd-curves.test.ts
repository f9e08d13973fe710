/** Clipping curves in WebAssembly against the plain loops, for any double. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { tanhInPlace } from '../../src/core/maths.ts';
import { cubicClipInPlace, hardClipInPlace } from '../../src/saturation/curves.ts';
import { simdKernels } from '../../src/simd/simd-kernels.ts';
import { firstDifference, noise } from '../support/signals.ts';

const simd = simdKernels()!;
/** Samples that lie in the memory of the module. */
const there = simd.oversampling([Float64Array.of(0.25)], 0).up(new Float64Array(128), 128);

describe.each([
  ['hard', hardClipInPlace, 1],
  ['cubic', cubicClipInPlace, 1.5],
  ['tanh', tanhInPlace, 9],
] as const)('the %s curve', (name, plain, end) => {
  const agrees = (values: Float64Array, k: Float64Array): void => {
    const expected = values.slice();
    plain(expected, expected.length, k);
    there.set(values);
    simd.curves[name](there, values.length, k);
    expect(firstDifference(there.subarray(0, values.length), expected)).toBe(-1);
  };

  it('has the same bits for any double', () => {
    const edges = [end, -end, 5e-324, -5e-324, 0, -0, NaN, Infinity, -Infinity].map((x) => fc.constant(x));
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.double(), ...edges, fc.double({ min: -12, max: 12 })), { minLength: 1, maxLength: 256 }),
        fc.oneof(fc.constant(1), fc.double({ min: 1e-3, max: 1e3, noNaN: true })),
        fc.double({ min: 1e-3, max: 4, noNaN: true }),
        (values, gain, ceiling) => {
          agrees(Float64Array.from(values), Float64Array.of(gain, ceiling));
        },
      ),
    );
  });

  it('has the same bits for sound on both sides of its bend', () => {
    for (let seed = 1; seed < 100; seed++) agrees(noise(256, seed, end / 2), Float64Array.of(2.5, 0.7));
  });
});
