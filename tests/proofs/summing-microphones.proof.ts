/** What summing microphones costs and what moving them brings back: comb filters, the way there and back, the demo's snare. */
import { describe, expect, it } from 'vitest';
import { applyAlignment } from '../../src/alignment/apply-alignment.ts';
import { inverseMoves } from '../../src/alignment/moves.ts';
import { alignInputs } from '../../src/mix/align-inputs.ts';
import type { MixInput } from '../../src/mix/input-reader.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { microphoneNames } from '../../src/simulation/names.ts';
import { simulateKit, type SimulatedKit } from '../../src/simulation/simulate-kit.ts';
import { writeProofPage, type ProofTable } from '../support/proof-page.ts';
import { impulse, largestDifference, numbers, peak } from '../support/signals.ts';
import vectors from '../vectors/alignment.json';

const RATE = 48_000;
const SEEDS = 20;
/** Least gain of the snare's lows, and least share of what its levels allow. */
const LEAST_GAIN_DB = 6;
const LEAST_SHARE = 0.9;

function levelDb(x: Float64Array, hz: number): number {
  let re = 0,
    im = 0;
  x.forEach((v, n) => {
    re += v * Math.cos((2 * Math.PI * hz * n) / RATE);
    im += v * Math.sin((2 * Math.PI * hz * n) / RATE);
  });
  return 20 * Math.log10(Math.hypot(re, im));
}

/** Highest and lowest level of an impulse and its copy, late by `delaySamples`, at the peaks and notches below 20 kHz. */
function measuredComb(g: number, delaySamples: number): { peakDb: number; notchDb: number } {
  const x = impulse(200, 100);
  const { microphones } = applyAlignment({ x, copy: x.map((v) => g * v) }, { copy: { delaySamples, polarity: 1 } });
  const sum = microphones.x.map((v, n) => v + microphones.copy[n]);
  const spacing = RATE / delaySamples;
  const levels = (first: number) =>
    Array.from({ length: Math.floor(20_000 / spacing) }, (_, k) => levelDb(sum, (k + first) * spacing));
  return { peakDb: Math.max(...levels(1)), notchDb: Math.max(...levels(0.5)) };
}

function combTable(): ProofTable {
  const decibels = (value: number) => (value < -120 ? 'below -120' : value.toFixed(3));
  return {
    title: 'Comb filter of two microphones: closed form against measured sums, dB',
    header: ['difference', 'peak', '1 ms', '0.8 ms', 'notch', '1 ms', '0.8 ms'],
    rows: vectors.ripple.map(({ level_diff_dB, g, peak_dB, notch_dB }) => {
      const whole = measuredComb(g, 48),
        fraction = measuredComb(g, 38.4);
      for (const { peakDb, notchDb } of [whole, fraction]) {
        expect(Math.abs(peakDb - peak_dB)).toBeLessThan(1e-3);
        if (notch_dB === null) expect(notchDb).toBeLessThan(-120);
        else expect(Math.abs(notchDb - notch_dB)).toBeLessThan(1e-3);
      }
      return [
        level_diff_dB,
        peak_dB.toFixed(3),
        decibels(whole.peakDb),
        decibels(fraction.peakDb),
        notch_dB?.toFixed(3) ?? '-infinite',
        decibels(whole.notchDb),
        decibels(fraction.notchDb),
      ];
    }),
  };
}

/** 200 sines up to 20/48 of the sample rate, faded in and out. */
function bandLimited(length: number, seed: number): Float64Array {
  const next = numbers(seed);
  const x = new Float64Array(length);
  for (let s = 1; s <= 200; s++) {
    const w = (2 * Math.PI * 20 * s) / 48 / 200,
      phase = 2 * Math.PI * next();
    for (let n = 0; n < length; n++) x[n] += Math.sin(w * n + phase) * Math.sin((Math.PI * (n + 0.5)) / length) ** 4;
  }
  return x;
}

function roundTripTable(): ProofTable {
  const x = bandLimited(8000, 1);
  return {
    title: 'There and back by the inverse moves',
    header: ['delay, samples', 'largest error, dB of the peak'],
    rows: [0, 17, -250, 0.001, 0.25, 0.5, -0.5, 0.999, 41.37, -133.333].map((delaySamples) => {
      const moves = { x: { delaySamples, polarity: -1 }, still: { delaySamples: 0, polarity: 1 } } as const;
      const there = applyAlignment({ x, still: x }, moves);
      const back = applyAlignment(there.microphones, inverseMoves(moves));
      const whole = new Float64Array(back.microphones.x.length);
      whole.set(x, there.leadSamples + back.leadSamples);
      expect(largestDifference(back.microphones.still, whole)).toBe(0);
      const error = largestDifference(back.microphones.x, whole) / peak(x);
      expect(error).toBeLessThan(1e-6);
      return [delaySamples, error === 0 ? 'none, to the bit' : (20 * Math.log10(error)).toFixed(1)];
    }),
  };
}

const recordings = ({ microphones, sampleRateHz, frames }: SimulatedKit): Record<string, MixInput> =>
  Object.fromEntries(
    microphoneNames.map((name) => [
      name,
      {
        sampleRateHz,
        channels: 1,
        frames,
        read: (start: number, [into]: Float64Array[], count: number) => {
          into.set(microphones[name].subarray(start, start + count));
          return Math.min(count, frames - start);
        },
      },
    ]),
  );

function snareTable(): ProofTable {
  const plan = parsePlan(demoPlan);
  return {
    title: `The snare's two microphones in the demo, ${SEEDS} seeds`,
    header: [
      'seed',
      'delay error, samples',
      'polarity',
      'gain 100-300 Hz, dB',
      'allowed by the levels, dB',
      'share, %',
      'CPU of pass 1, s',
    ],
    rows: Array.from({ length: SEEDS }, (_, s) => {
      const kit = simulateKit({ seed: s + 1 });
      const began = process.cpuUsage();
      const { pairs } = alignInputs(plan, recordings(kit));
      const { user, system } = process.cpuUsage(began);
      const pair = pairs.find(({ other }) => other === 'snareBottom');
      if (!pair) throw new Error('expected the two microphones of the snare');
      const { delaySamples } = kit.truth;
      const error = pair.estimate.delaySamples - (delaySamples.snareBottom.snare - delaySamples.snareTop.snare);
      const { beforeDb, afterDb } = pair.low;
      const gainDb = beforeDb - afterDb;
      expect(pair.estimate.polarity).toBe(-1);
      expect(gainDb).toBeGreaterThanOrEqual(LEAST_GAIN_DB);
      expect(gainDb / beforeDb).toBeGreaterThanOrEqual(LEAST_SHARE);
      return [
        s + 1,
        error.toFixed(3),
        'inverted, right',
        gainDb.toFixed(2),
        beforeDb.toFixed(2),
        ((100 * gainDb) / beforeDb).toFixed(1),
        ((user + system) / 1e6).toFixed(2),
      ];
    }),
  };
}

describe('summing microphones', () => {
  it('costs what the closed form says, and moving them brings it back', () => {
    const text =
      'Two microphones that hear one sound at different times make a comb filter where they are summed: ' +
      '1 + g e^(-jwt). The notch measured is the shallowest, the peak the highest, below 20 kHz. ' +
      'The gain of the snare is that of the sum of both microphones around the hits of the take, aligned, over the sum as ' +
      'they are: neither moved nor inverted. The levels allow 20 lg of the sum of both amplitudes over that same sum.';
    writeProofPage('summing-microphones', 'Summing microphones', text, [combTable(), roundTripTable(), snareTable()]);
  });
});
