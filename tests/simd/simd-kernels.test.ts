/** The kernels in WebAssembly against the plain loops that they stand in for: bit for bit, whatever comes. */
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { moduleText } from '../../scripts/build-simd.mjs';
import type { StreamFormat } from '../../src/core/processor.ts';
import { restoreState, saveState } from '../../src/core/saved-state.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { Oversampler, type OversamplingFactor } from '../../src/filters/oversampler.ts';
import { HardClipper } from '../../src/saturation/hard-clipper.ts';
import { Hysteresis } from '../../src/saturation/hysteresis.ts';
import { Saturator } from '../../src/saturation/saturator.ts';
import { SoftClipper, softClipperParameters } from '../../src/saturation/soft-clipper.ts';
import { decodeBase64 } from '../../src/simd/decode-base64.ts';
import { MODULE_TEXT } from '../../src/simd/module-text.ts';
import { makeKernels, simdKernels } from '../../src/simd/simd-kernels.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { bursts, firstDifference, noise, numbers } from '../support/signals.ts';

const simd = simdKernels();
const plain: StreamFormat = { sampleRateHz: 48000, channels: 2 };
const format: StreamFormat = { ...plain, simd };
const FACTORS: readonly OversamplingFactor[] = [2, 4, 8, 16];

/** Sound, silence, the smallest and the largest numbers, and both zeros. */
function anything(length: number, seed: number): Float64Array {
  const next = numbers(seed);
  const extremes = [0, -0, 5e-324, -2.2e-308, 1e-300, 1e6, -1e6];
  return bursts(length, seed).map((x) => (next() < 0.05 ? extremes[Math.floor(next() * extremes.length)] : x));
}

/** What stands at the high rate, and what comes back, of a signal in pieces. */
function upAndDown(oversampler: Oversampler, factor: number, signal: Float64Array, seed: number): number[] {
  const next = numbers(seed),
    piece = new Float64Array(128),
    seen: number[] = [];
  for (let at = 0; at < signal.length;) {
    const count = Math.min(next() < 0.5 ? 128 : 1 + Math.floor(next() * 128), signal.length - at);
    piece.set(signal.subarray(at, at + count));
    const high = oversampler.up(piece, count);
    for (let i = 0; i < count * factor; i++) seen.push(high[i]);
    oversampler.down(piece, count);
    seen.push(...piece.subarray(0, count));
    at += count;
  }
  return seen;
}

const same = (a: readonly number[], b: readonly number[]): boolean =>
  a.length === b.length && a.every((x, i) => Object.is(x, b[i]));

describe('SIMD kernels', () => {
  it('are there in this engine, and are the same for all who ask', () => {
    expect(simd).toBeDefined();
    expect(simdKernels()).toBe(simd);
  });

  it('are made from what stands in `simd/` today, in less than 20 kB', async () => {
    const committed = readFileSync(resolve(import.meta.dirname, '../../src/simd/module-text.ts'), 'utf8');
    expect(committed).toBe(await moduleText());
    expect(MODULE_TEXT.length).toBeLessThan(20_000);
  });

  it('are not there where WebAssembly is not, or refuses', () => {
    vi.stubGlobal('WebAssembly', undefined);
    expect(makeKernels()).toBeUndefined();
    vi.stubGlobal('WebAssembly', {
      Module: function Module(): never {
        throw new Error('forbidden');
      },
    });
    expect(makeKernels()).toBeUndefined();
    vi.unstubAllGlobals();
    expect(makeKernels()).toBeDefined();
  });

  it.each(FACTORS.flatMap((factor) => [0, 1, 2, 7].map((late) => ({ factor, late }))))(
    'oversample $factor times, kernel late by $late, with the bits of the plain stages',
    ({ factor, late }) => {
      const x = anything(1500, factor + late);
      const expected = upAndDown(new Oversampler(factor, late), factor, x, 3);
      const oversampler = new Oversampler(factor, late, simd);
      expect(oversampler.latencySamples).toBe(new Oversampler(factor, late).latencySamples);
      expect(same(upAndDown(oversampler, factor, x, 3), expected)).toBe(true);
      oversampler.reset();
      expect(same(upAndDown(oversampler, factor, x, 3), expected)).toBe(true);
    },
  );

  it('keep the channels that share them apart', () => {
    const [x, z] = [noise(640, 1), noise(640, 2)];
    const alone = upAndDown(new Oversampler(4, 1, simd), 4, z, 5);
    const [first, second] = [new Oversampler(8, 0, simd), new Oversampler(4, 1, simd)];
    const seen: number[] = [];
    const next = numbers(5),
      piece = new Float64Array(128);
    for (let at = 0; at < z.length;) {
      piece.set(x.subarray(at, Math.min(at + 128, x.length)));
      first.up(piece, 128);
      first.down(piece, 128);
      const count = Math.min(next() < 0.5 ? 128 : 1 + Math.floor(next() * 128), z.length - at);
      piece.set(z.subarray(at, at + count));
      seen.push(...second.up(piece, count).subarray(0, 4 * count));
      second.down(piece, count);
      seen.push(...piece.subarray(0, count));
      at += count;
    }
    expect(same(seen, alone)).toBe(true);
  });

  it.each([
    ['hard clipper', (f: StreamFormat) => new HardClipper(f, { driveDb: 12, antialiasing: 'cornerCorrection' })],
    ['soft clipper', (f: StreamFormat) => new SoftClipper(f, { driveDb: 12, oversampling: 4, mixPercent: 60 })],
    ['cubic clipper', (f: StreamFormat) => new SoftClipper(f, { driveDb: 12, oversampling: 2, curve: 'cubic' })],
    ['soft clipper at 1x', (f: StreamFormat) => new SoftClipper(f, { driveDb: 12, oversampling: 1 })],
    ['saturator', (f: StreamFormat) => new Saturator(f, { curve: 'uneven', evenPercent: 30 })],
    ['hysteresis', (f: StreamFormat) => new Hysteresis(f)],
    ['compressor', (f: StreamFormat) => new Compressor(f, { thresholdDb: -40, slowReleaseMs: 300 })],
  ])('give a %s the same bits, and a state that goes on without them', (_, create) => {
    const input = [anything(3000, 1), anything(3000, 2)];
    const expected = render64(create(plain), input);
    render64(create(format), input).forEach((y, c) => expect(firstDifference(y, expected[c])).toBe(-1));
    const [before, after] = [0, 1500].map((at) => input.map((x) => x.slice(at, at + 1500)));
    for (const [from, to] of [
      [plain, format],
      [format, plain],
    ]) {
      const first = create(from),
        second = create(to);
      render64(first, before);
      restoreState(second, saveState(first));
      render64(second, after).forEach((y, c) => expect(firstDifference(y, expected[c].slice(1500))).toBe(-1));
    }
  });

  obeysProcessorLaws(format, {
    create: (options) => new SoftClipper(format, options),
    table: softClipperParameters,
    arrange: (options) => ({ ...options, antialiasing: 'none' }),
    lively: { driveDb: 24, oversampling: 4 },
    runs: 10,
  });
});

describe('decodeBase64', () => {
  it('gives back all bytes, padded or not (Buffer of Node)', () => {
    const bytes = Uint8Array.from({ length: 770 }, (_, i) => (i * 37) % 256);
    for (const length of [0, 1, 2, 3, 255, 768, 769, 770]) {
      const text = Buffer.from(bytes.subarray(0, length)).toString('base64');
      expect(decodeBase64(text)).toEqual(bytes.slice(0, length));
      expect(decodeBase64(text.replaceAll('=', ''))).toEqual(bytes.slice(0, length));
    }
  });
});
