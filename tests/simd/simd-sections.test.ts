/** Second-order sections in WebAssembly against the plain loops that they stand in for: bit for bit, whatever comes. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Processor, StreamFormat } from '../../src/core/processor.ts';
import { restoreState, saveState } from '../../src/core/saved-state.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { highpass, lowpass, peaking } from '../../src/filters/biquad-design.ts';
import { BiquadKernel, writeSections } from '../../src/filters/biquad-kernel.ts';
import { Equaliser } from '../../src/filters/equaliser.ts';
import { Oversampler } from '../../src/filters/oversampler.ts';
import { decodeBase64 } from '../../src/simd/decode-base64.ts';
import { MODULE_TEXT } from '../../src/simd/module-text.ts';
import { simdKernels } from '../../src/simd/simd-kernels.ts';
import type { SimdExports } from '../../src/simd/simd-stages.ts';
import { render } from '../support/processor-laws.ts';
import { bursts, firstDifference, noise, numbers, peak } from '../support/signals.ts';

const BLOCK = 128;
const simd = simdKernels();
const plain = { sampleRateHz: 48000, channels: 2 };

/** Sections of every kind, from narrow bells to filters near the ends of the band. */
function anySections(count: number, seed: number): BiquadCoefficients[] {
  const next = numbers(seed);
  return Array.from({ length: count }, () => {
    const corner = { sampleRateHz: 48000, frequencyHz: 20 * 1000 ** next(), q: 0.3 * 30 ** next() };
    const design = [peaking, highpass, lowpass][Math.floor(3 * next())];
    return design({ ...corner, gainDb: 24 * next() - 12 });
  });
}

/** Sound, silence, the smallest and the largest numbers, and both zeros. */
function anything(length: number, seed: number): Float64Array {
  const next = numbers(seed);
  const extremes = [0, -0, 5e-324, -2.2e-308, 1e-300, 1e6, -1e6];
  return bursts(length, seed).map((x) => (next() < 0.02 ? extremes[Math.floor(next() * extremes.length)] : x));
}

/** A number below `limit`, now and then one of the usual. */
const piece = (next: () => number): number => (next() < 0.5 ? BLOCK : 1 + Math.floor(next() * BLOCK));

/** Where the arrays differ first, or -1. */
const difference = (a: readonly Float64Array[], b: readonly Float64Array[]): number =>
  Math.max(...a.map((x, i) => firstDifference(x, b[i])));

describe('sections in WebAssembly', () => {
  const shapes = fc.record({
    sections: fc.integer({ min: 0, max: 20 }),
    channels: fc.integer({ min: 1, max: 5 }),
    seed: fc.integer({ min: 1, max: 1e6 }),
  });

  it('leave the bits of the plain loops in signal and state, for any number of sections and channels, in any pieces', () => {
    fc.assert(
      fc.property(shapes, ({ sections, channels, seed }) => {
        const kernels = [undefined, simd].map((given) => new BiquadKernel(sections, channels, given));
        for (const { coefficients } of kernels) writeSections(coefficients, anySections(sections, seed));
        const signal = Array.from({ length: channels }, (_, c) => anything(1000, seed + c));
        const next = numbers(seed);
        for (let at = 0, count = 0; at < 1000; at += count) {
          count = Math.min(piece(next), 1000 - at);
          const [expected, x] = kernels.map((kernel) => {
            // As long as a block, or as the piece, or longer.
            const room = seed % 3 === 0 ? count : seed % 3 === 1 ? BLOCK : BLOCK + 9;
            const rows = signal.map((row) => {
              const there = new Float64Array(room).fill(7);
              there.set(row.subarray(at, at + count));
              return there;
            });
            kernel.run(rows, count);
            return rows;
          });
          expect(difference(x, expected)).toBe(-1);
          expect(difference(kernels[1].state, kernels[0].state)).toBe(-1);
        }
      }),
      { numRuns: 150 },
    );
  });

  it('are left to the plain loops where they are too few to gain, or too many for the memory', () => {
    const asked = ([sections, channels]: number[]) =>
      simd?.sections(sections, new Float64Array((5 + 4 * channels) * sections));
    const unfit = [
      [0, 1],
      [1, 1],
      [2, 2],
      [302, 2],
      [231, 3],
      [1000, 1],
    ];
    expect(unfit.map(asked)).toEqual(unfit.map(() => undefined));
    for (const fit of [
      [3, 1],
      [301, 2],
      [230, 3],
    ])
      expect(asked(fit)).toBeDefined();
  });

  it('fill the memory with the most that it takes, and change nothing but what is theirs', () => {
    const sections = anySections(230, 5).map((section) => ({ ...section, b0: 1, b1: section.a1, b2: section.a2 }));
    const kernels = [undefined, simd].map((given) => new BiquadKernel(230, 3, given));
    const rows = kernels.map((kernel) => {
      writeSections(kernel.coefficients, sections);
      const x = [1, 2, 3].map((seed) => noise(BLOCK, seed));
      for (let b = 0; b < 3; b++) kernel.run(x, BLOCK);
      return x;
    });
    expect(difference(rows[1], rows[0])).toBe(-1);
    expect(difference(kernels[1].state, kernels[0].state)).toBe(-1);
  });

  it('leave the room where they work, and what stands around a channel, as they found it: in zeros', () => {
    const module = new WebAssembly.Module(decodeBase64(MODULE_TEXT));
    const exports = new WebAssembly.Instance(module).exports as unknown as SimdExports;
    const there = (at: number, length: number) => new Float64Array(exports.memory.buffer, 8 * at, length);
    const [room, around, past, k] = [there(0, 148), there(200, 160), there(400, 56), there(500, 70)];
    writeSections(k, anySections(14, 7));
    for (const seed of [1, 2, 3]) {
      around.set(noise(BLOCK, seed), 16);
      exports.sectionsOnOne(0, k.byteOffset, 14, past.byteOffset, around.byteOffset + 8 * 16, BLOCK);
      for (const row of [room, around.subarray(0, 16), around.subarray(-16)]) expect(peak(row)).toBe(0);
    }
    expect(past.every((number) => number !== 0)).toBe(true);
  });

  it('share the memory with each other and with half-bands, block by block', () => {
    const make = (given: typeof simd) => {
      const first = new BiquadKernel(5, 1, given),
        second = new BiquadKernel(11, 2, given);
      writeSections(first.coefficients, anySections(5, 1));
      writeSections(second.coefficients, anySections(11, 2));
      const oversampler = new Oversampler(16, 3, given);
      const rows = [noise(BLOCK, 1), noise(BLOCK, 2), noise(BLOCK, 3), noise(BLOCK, 4)];
      for (let b = 0; b < 20; b++) {
        first.run([rows[0]], BLOCK);
        oversampler.up(rows[3], BLOCK);
        second.run([rows[1], rows[2]], BLOCK);
        oversampler.down(rows[3], BLOCK);
      }
      return rows;
    };
    expect(difference(make(simd), make(undefined))).toBe(-1);
  });
});

const bands = [
  { type: 'highpass', frequencyHz: 60, order: 5 },
  { type: 'peaking', frequencyHz: 420, q: 1.4, gainDb: -6 },
  { type: 'highShelf', frequencyHz: 8000, gainDb: 3 },
] as const;
type Change = (processor: Processor) => unknown;
const makers: readonly (readonly [string, (format: StreamFormat) => Processor, readonly Change[]])[] = [
  [
    'equaliser',
    (format) => new Equaliser(format, bands),
    [
      (equaliser) => equaliser.set({ 'bands[1].gainDb': 4 }),
      (equaliser) => equaliser.set({ 'bands[0].frequencyHz': 900, 'bands[2].gainDb': -3 }),
    ],
  ],
  [
    'biquad cascade',
    (format) => new BiquadCascade(format, anySections(6, 3)),
    [
      (cascade) => cascade instanceof BiquadCascade && cascade.setSections(anySections(6, 4)),
      (cascade) => cascade instanceof BiquadCascade && cascade.setSections(anySections(2, 5)),
    ],
  ],
];

describe.each(makers)('%s with SIMD', (_, create, changes) => {
  it('keeps the bits of one without, whatever is set while it runs, and when they exchange their states', () => {
    const cases = fc.record({
      channels: fc.integer({ min: 1, max: 5 }),
      seed: fc.integer({ min: 1, max: 1e6 }),
      stops: fc.uniqueArray(fc.integer({ min: 1, max: 3999 }), { minLength: 3, maxLength: 3 }),
    });
    fc.assert(
      fc.property(cases, ({ channels, seed, stops: [first, second, exchange] }) => {
        const input = Array.from({ length: channels }, (_, c) => anything(4000, seed + c));
        const make = () => [undefined, simd].map((given) => create({ sampleRateHz: 48000, channels, simd: given }));
        let pair = make();
        const next = numbers(seed);
        for (let start = 0, end = 0; start < 4000; start = end) {
          if (start === first) pair.forEach(changes[0]);
          if (start === second) pair.forEach(changes[1]);
          if (start === exchange) {
            const others = make();
            others.forEach((other, p) => restoreState(other, saveState(pair[1 - p])));
            pair = others;
          }
          end = Math.min(start + piece(next), ...[first, second, exchange, 4000].filter((stop) => stop > start));
          const [expected, output] = pair.map((processor) => {
            const y = input.map(() => new Float64Array(4000));
            processor.process(input, y, { start, end });
            return y;
          });
          expect(difference(output, expected)).toBe(-1);
        }
      }),
      { numRuns: 25 },
    );
  });

  it('does its work there', () => {
    let runs = 0;
    const counted = simd && {
      ...simd,
      sections: (...given: Parameters<typeof simd.sections>) => {
        const runner = simd.sections(...given);
        return runner && { run: (...row: Parameters<typeof runner.run>) => ++runs && runner.run(...row) };
      },
    };
    render(create({ ...plain, simd: counted }), [noise(1280, 1), noise(1280, 2)]);
    expect(runs).toBe(10);
  });
});
