/**
 * Silence costs no more than sound: after it, no block is left with denormal numbers, with which processors are slow. What it
 * costs in time, `npm run bench` measures; here the numbers themselves are looked at, which no busy machine disturbs.
 */
import { describe, expect, it } from 'vitest';
import { parseBlock } from '../../src/blocks/block-plan.ts';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { createBlock } from '../../src/blocks/create-block.ts';
import { peaking } from '../../src/filters/biquad-design.ts';
import { BiquadKernel, writeSections } from '../../src/filters/biquad-kernel.ts';
import { noise } from '../support/signals.ts';

const RATE = 48000;
const BLOCK = 128;
const LOUD_BLOCKS = 40;
/** 12 s: what decays with a time constant of 15 ms would be below the smallest number. */
const SILENT_BLOCKS = 4500;
const LOOK_EVERY = 50;
/** Smallest number with all its digits: 2^-1022. */
const LEAST_NORMAL = 2.2250738585072014e-308;

/** Options with which everything decays soon, and those that a type cannot be without. */
const quick: Readonly<Record<string, object>> = {
  equaliser: { bands: [{ type: 'peaking', frequencyHz: 100, gainDb: 6, q: 2 }] },
  dcBlocker: { cornerHz: 20 },
  monoBelow: { frequencyHz: 100 },
  bandSplit: { bands: [{ chain: [{ type: 'compressor', releaseMs: 10 }] }, {}] },
  gate: { releaseMs: 10 },
  expander: { releaseMs: 10 },
  compressor: { releaseMs: 10, slowReleaseMs: 10, rmsMs: 10, detector: 'rms' },
  upwardCompressor: { releaseMs: 10 },
  dynamicBand: { releaseMs: 10 },
  transientShaper: { attackDb: 6, sustainDb: -6, sustainMs: 10, holdMs: 1 },
  limiter: { releaseMs: 10, ceilingDb: -6 },
  hardClipper: { driveDb: 12, oversampling: 2 },
  softClipper: { driveDb: 12, oversampling: 2 },
  saturator: { oversampling: 2, dcCornerHz: 20, tiltDb: 6 },
  hysteresis: { oversampling: 2 },
  schroederReverb: { decaySeconds: 0.1, decayHighSeconds: 0.1 },
  feedbackReverb: { decaySeconds: 0.1 },
  convolutionReverb: { impulse: 'room' },
};

const denormals = (state: readonly Float64Array[]): number =>
  state.reduce((sum, array) => sum + array.filter((x) => x !== 0 && Math.abs(x) < LEAST_NORMAL).length, 0);

describe('silence after sound', () => {
  it.each(Object.keys(blockTypes))('leaves no denormal number in %s', (type) => {
    const plan = parseBlock(type, { type, ...quick[type] }, [], RATE, ['room']);
    const impulse = { sampleRateHz: RATE, channels: [noise(600, 1)] };
    const { inner: block } = createBlock(plan, { sampleRateHz: RATE, channels: 2 }, 2, impulse);
    const x = [new Float64Array(BLOCK), new Float64Array(BLOCK)];
    for (let b = 0; b < LOUD_BLOCKS; b++) block.process([noise(BLOCK, b + 1), noise(BLOCK, 99 * b + 2)], x);
    const silence = x.map(() => new Float64Array(BLOCK));
    let found = 0;
    for (let b = 0; b < SILENT_BLOCKS; b++) {
      block.process(silence, x);
      if (b % LOOK_EVERY === 0) found += denormals(block.state);
    }
    expect(found).toBe(0);
  });

  it('leaves some in a filter that nobody flushes', () => {
    const kernel = new BiquadKernel(1, 1);
    writeSections(kernel.coefficients, [peaking({ sampleRateHz: RATE, frequencyHz: 100, gainDb: 6, q: 2 })]);
    const x = noise(BLOCK, 1);
    for (let b = 0; b < SILENT_BLOCKS; b++) {
      kernel.run([x], BLOCK);
      x.fill(0);
    }
    expect(denormals(kernel.state)).toBeGreaterThan(0);
  });
});
