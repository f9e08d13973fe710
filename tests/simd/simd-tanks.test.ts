/** The Schroeder reverb in WebAssembly against its plain loops: bit for bit, whatever comes, in a memory of its own. */
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import type { StreamFormat } from '../../src/core/processor.ts';
import { restoreState, saveState } from '../../src/core/saved-state.ts';
import {
  SchroederReverb,
  type SchroederReverbOptions,
  schroederReverbParameters,
} from '../../src/reverb/schroeder-reverb.ts';
import { tankDelays } from '../../src/reverb/tank-delays.ts';
import { makeKernels, simdKernels } from '../../src/simd/simd-kernels.ts';
import { anyParameters, obeysProcessorLaws, render64, renderCut } from '../support/processor-laws.ts';
import { bursts, firstDifference, noise } from '../support/signals.ts';

const simd = simdKernels();
const stereo: StreamFormat = { sampleRateHz: 48000, channels: 2, simd };
/** What is heard within a few hundred samples at 8 kHz, where rings have 240 samples. */
const lively: SchroederReverbOptions = { preDelayMs: 1, decaySeconds: 0.1, decayHighSeconds: 0.1, widthPercent: 50 };

const differences = (a: readonly ArrayLike<number>[], b: readonly ArrayLike<number>[]): number[] =>
  a.map((y, c) => firstDifference(y, b[c]));
const none = (channels: number): number[] => new Array<number>(channels).fill(-1);

describe('tanks in WebAssembly', () => {
  it('sound as the plain loops do, whatever is set, moved and cut, and go on from their state and they from theirs', () => {
    const options = anyParameters(schroederReverbParameters, 8000).map((drawn) => ({ ...lively, ...drawn }));
    const moved = anyParameters(schroederReverbParameters, 8000, false);
    const rate = fc.constantFrom(8000, 11025);
    fc.assert(
      fc.property(
        options,
        moved,
        rate,
        fc.integer({ min: 1, max: 3 }),
        fc.nat(),
        (first, second, sampleRateHz, channels, seed) => {
          const plain: StreamFormat = { sampleRateHz, channels },
            vectors: StreamFormat = { ...plain, simd };
          const input = Array.from({ length: channels }, (_, c) => bursts(4000, seed + c));
          const play = ([before, after]: readonly StreamFormat[]) => {
            const [head, tail] = [0, 2000].map((at) => input.map((x) => x.slice(at, at + 2000)));
            const reverb = new SchroederReverb(before, first),
              heir = new SchroederReverb(after, first);
            const played = renderCut(reverb, head, seed, undefined, { 700: () => reverb.set(second) });
            restoreState(heir, saveState(reverb));
            return [...played, ...renderCut(heir, tail, seed + 1), ...heir.state];
          };
          const expected = play([plain, plain]);
          for (const formats of [
            [vectors, vectors],
            [plain, vectors],
            [vectors, plain],
          ]) {
            expect(Math.max(...differences(play(formats), expected))).toBe(-1);
          }
        },
      ),
      { numRuns: 40 },
    );
  });

  it('make the same of a long tail, of silence after it, and of the sound that wakes them', () => {
    const input = [bursts(60_000, 1), bursts(60_000, 2)];
    for (const x of input) x.fill(0, 6000, 50_000);
    for (const density of ['low', 'medium', 'high'] as const) {
      const options = { ...lively, density };
      const played = [undefined, simd].map((kernels) =>
        render64(new SchroederReverb({ sampleRateHz: 8000, channels: 2, simd: kernels }, options), input),
      );
      expect(differences(played[1], played[0])).toEqual(none(2));
    }
  });

  it('are apart from each other, however many there are', () => {
    const input = [noise(3000, 1), noise(3000, 2)];
    const options = (r: number): SchroederReverbOptions => ({ ...lively, decaySeconds: 0.1 + r / 10 });
    const reverbs = Array.from({ length: 64 }, (_, r) => new SchroederReverb(stereo, options(r)));
    // Block by block in turns, so that what one left in a place of another's would be heard.
    const outputs = reverbs.map(() => input.map((x) => new Float64Array(x.length)));
    for (let start = 0; start < 3000; start += 500) {
      reverbs.forEach((reverb, r) => {
        reverb.process(input, outputs[r], { start, end: start + 500 });
      });
    }
    for (const r of [0, 1, 31, 63]) {
      const alone = render64(new SchroederReverb({ sampleRateHz: 48000, channels: 2 }, options(r)), input);
      expect(differences(outputs[r], alone)).toEqual(none(2));
    }
  });

  it('have a memory that holds 64 channels at the highest rate', () => {
    const delays = Array.from({ length: 64 }, (_, c) => tankDelays('high', c, 384_000));
    const tanks = simd!.tanks(delays)!.loops;
    const last = tanks[63].state;
    const ring = last[last.length - 2];
    ring[ring.length - 1] = 1;
    expect(tanks[63].state.map((array) => array.length)).toEqual([
      ...[0, 4, 8].flatMap((b) => [...delays[63].combs.slice(b, b + 4), 4, 4]),
      ...delays[63].allpasses,
      5,
    ]);
    expect(
      tanks
        .slice(0, 63)
        .flatMap((tank) => tank.state)
        .every((array) => array.every((x) => x === 0)),
    ).toBe(true);
  });

  it.each(['an instance', 'memory'])('give way to the plain loops where there is no %s to be had', (what) => {
    const { Module, Instance } = WebAssembly;
    let instances = 0;
    const refuse = (): never => {
      throw new RangeError('no room');
    };
    vi.stubGlobal('WebAssembly', {
      Module,
      Instance: function (module: WebAssembly.Module) {
        instances++;
        if (instances === 1) return new Instance(module);
        return what === 'memory' ? { exports: { memory: { buffer: new ArrayBuffer(0), grow: refuse } } } : refuse();
      },
    });
    const scarce = makeKernels();
    const reverb = new SchroederReverb({ ...stereo, simd: scarce }, lively);
    vi.unstubAllGlobals();
    expect(instances).toBe(2);
    const input = [noise(3000, 1), noise(3000, 2)];
    const expected = render64(new SchroederReverb({ sampleRateHz: 48000, channels: 2 }, lively), input);
    expect(differences(render64(reverb, input), expected)).toEqual(none(2));
  });

  obeysProcessorLaws(stereo, {
    create: (options) => new SchroederReverb(stereo, options),
    table: schroederReverbParameters,
    lively,
    runs: 5,
  });
});
