import { describe, expect, it } from 'vitest';
import { applyAlignment, movedSource } from '../../src/alignment/apply-alignment.ts';
import { type AlignmentMoves, inverseMoves, leadOf } from '../../src/alignment/moves.ts';
import { sourceOf } from '../../src/core/sample-source.ts';
import { FractionalDelay } from '../../src/filters/fractional-delay.ts';
import { render64 } from '../support/processor-laws.ts';
import { firstDifference, impulse, largestDifference, noise, numbers, peak } from '../support/signals.ts';
import vectors from '../vectors/alignment.json';

/** -120 dB. */
const INAUDIBLE = 1e-6;

/** Sines of random phase up to 20 kHz at 48 kHz, faded in and out. */
function bandLimited(length: number, seed: number): Float64Array {
  const next = numbers(seed);
  const x = new Float64Array(length);
  for (let s = 1; s <= 60; s++) {
    const w = (2 * Math.PI * 20 * s) / 48 / 60,
      phase = 2 * Math.PI * next();
    for (let n = 0; n < length; n++) x[n] += Math.sin(w * n + phase) * Math.sin((Math.PI * (n + 0.5)) / length) ** 4;
  }
  return x;
}

describe('applyAlignment', () => {
  it('leaves a kit without moves as it is, to the bit', () => {
    const top = noise(1000, 1),
      bottom = Float32Array.from(noise(1000, 2));
    top[5] = -0; // which x * 1 keeps and a sum of products loses
    const { microphones, leadSamples } = applyAlignment(
      { top, bottom },
      { top: { delaySamples: 0, polarity: 1 }, bottom: { delaySamples: 0, polarity: 1 } },
    );
    expect(leadSamples).toBe(0);
    expect(microphones.top).toEqual(top);
    expect(microphones.bottom).toEqual(Float64Array.from(bottom));
    expect(Object.is(microphones.top[5], -0)).toBe(true);
  });

  it('moves by whole samples and turns, to the bit, relative to the latest microphone', () => {
    const x = noise(500, 3);
    const { microphones, leadSamples } = applyAlignment(
      { early: x, stays: x, late: x },
      { early: { delaySamples: -30, polarity: 1 }, late: { delaySamples: 12, polarity: -1 } },
    );
    expect(leadSamples).toBe(30);
    const expected = (at: number, sign: number) => {
      const y = new Float64Array(542);
      x.forEach((v, n) => (y[at + n] = sign * v));
      return y;
    };
    expect(firstDifference(microphones.early, expected(0, 1))).toBe(-1);
    expect(firstDifference(microphones.stays, expected(30, 1))).toBe(-1);
    expect(
      firstDifference(
        microphones.late,
        expected(42, -1).map((v, n) => (n < 42 ? -0 : v)),
      ),
    ).toBe(-1);
    expect(microphones.late).toHaveLength(542);
  });

  it('has the bits of FractionalDelay for a fraction', () => {
    const x = noise(700, 4);
    for (const delaySamples of [0.3, 17.75]) {
      const { microphones, leadSamples } = applyAlignment({ x }, { x: { delaySamples, polarity: 1 } });
      const padded = new Float64Array(1000);
      padded.set(x);
      const streamed = render64(new FractionalDelay({ sampleRateHz: 48000, channels: 1 }, { delaySamples }), [
        padded,
      ])[0];
      // Sample 0 of the input's time: 47 late in the stream, `lead` late here.
      const from = 47 - leadSamples;
      expect(firstDifference(microphones.x, streamed.subarray(from, from + microphones.x.length))).toBe(-1);
    }
  });

  it('drops nothing at the start or the end: the first and the last sample keep their sum and their energy', () => {
    for (const delaySamples of [-20.5, -0.25, 0.25, 3, 60.4]) {
      const x = impulse(200, 0);
      x[199] = 1;
      const { microphones } = applyAlignment({ x, other: x }, { x: { delaySamples, polarity: -1 } });
      // The kernel's gain at 0 Hz is 1 within -134 dB.
      expect(microphones.x.reduce((sum, v) => sum + v, 0)).toBeCloseTo(-2, 6);
      expect(microphones.other.reduce((sum, v) => sum + v, 0)).toBe(2);
    }
  });

  it('is taken back by the inverse moves within -120 dB', () => {
    const names = ['a', 'b', 'c', 'd', 'e'];
    const delays = [0, 0.5, -7.31, 140.002, -33];
    const inputs = Object.fromEntries(names.map((name, i) => [name, bandLimited(2000, i + 1)]));
    const moves: AlignmentMoves = Object.fromEntries(
      names.map((name, i) => [name, { delaySamples: delays[i], polarity: i % 2 ? -1 : 1 }]),
    );
    const there = applyAlignment(inputs, moves);
    const back = applyAlignment(there.microphones, inverseMoves(moves));
    const lead = there.leadSamples + back.leadSamples;
    for (const name of names) {
      const x = inputs[name];
      const whole = new Float64Array(back.microphones[name].length);
      whole.set(x, lead);
      const error = largestDifference(back.microphones[name], whole);
      expect(error / peak(x)).toBeLessThan(INAUDIBLE);
    }
    // Those that moved by whole samples, or not at all, come back to the bit.
    expect(firstDifference(back.microphones.a.subarray(lead, lead + 2000), inputs.a)).toBe(-1);
    expect(firstDifference(back.microphones.e.subarray(lead, lead + 2000), inputs.e)).toBe(-1);
  });

  it('brings a copy that is late by a known fraction back under the original', () => {
    const pulse = (t: number) => (t === 0 ? 1 : (Math.sin(Math.PI * 0.4 * t) / (Math.PI * 0.4 * t)) ** 2);
    const at = (place: number) => Float64Array.from({ length: 20_000 }, (_, n) => pulse(n - place));
    const { microphones, leadSamples } = applyAlignment(
      { near: at(10_000), far: at(10_041.37).map((v) => -0.5 * v) },
      { far: { delaySamples: -41.37, polarity: -1 } },
    );
    const from = leadSamples + 1000;
    const near = microphones.near.subarray(from, from + 18_000),
      far = microphones.far.subarray(from, from + 18_000).map((v) => 2 * v);
    expect(largestDifference(near, far)).toBeLessThan(2 * INAUDIBLE);
  });

  it('makes the comb filter of its delay: peaks, notches and ripple of the closed form 1 + g e^(-jw dt)', () => {
    const levelAt = (x: Float64Array, hz: number): number => {
      let re = 0,
        im = 0;
      x.forEach((v, n) => {
        re += v * Math.cos((2 * Math.PI * hz * n) / 48000);
        im += v * Math.sin((2 * Math.PI * hz * n) / 48000);
      });
      return 20 * Math.log10(Math.hypot(re, im));
    };
    for (const { g, peak_dB, notch_dB } of vectors.ripple) {
      for (const delaySamples of [48, 38.4]) {
        const x = impulse(100, 50);
        const copy = x.map((v) => g * v);
        const { microphones } = applyAlignment({ x, copy }, { copy: { delaySamples, polarity: 1 } });
        const sum = microphones.x.map((v, n) => v + microphones.copy[n]);
        const spacing = 48000 / delaySamples; // 1 ms: 1000 Hz; 0.8 ms: 1250 Hz
        // The table has five decimals; a notch magnifies the kernel's -134 dB by at most 20 dB.
        expect(levelAt(sum, 3 * spacing)).toBeCloseTo(peak_dB, 3);
        for (const notch of [0.5, 1.5, 7.5]) {
          if (notch_dB === null) expect(levelAt(sum, notch * spacing)).toBeLessThan(-120);
          else expect(levelAt(sum, notch * spacing)).toBeCloseTo(notch_dB, 3);
        }
      }
    }
  });

  it('swaps peaks and notches for an inverted copy: the first notch is at 0 Hz', () => {
    const x = impulse(100, 50);
    const { microphones } = applyAlignment({ x, copy: x }, { copy: { delaySamples: 48, polarity: -1 } });
    expect(microphones.x.reduce((sum, v, n) => sum + v + microphones.copy[n], 0)).toBe(0);
  });

  it.each([
    [{ tpo: { delaySamples: 1, polarity: 1 } }, 'applyAlignment: moves.tpo is unknown; the nearest name is top'],
    [
      { top: { delaySamples: NaN, polarity: 1 } },
      'applyAlignment: moves.top.delaySamples must be -4000000 to 4000000, got NaN',
    ],
    [{ top: { delaySamples: 1, polarity: 0 } }, 'applyAlignment: moves.top.polarity must be 1 or -1, got 0'],
  ])('refuses %j', (moves, message) => {
    expect(() => applyAlignment({ top: new Float64Array(4) }, moves as unknown as AlignmentMoves)).toThrow(message);
  });
});

describe('leadOf', () => {
  it('is the largest advance, and 47 samples more where a fraction needs them', () => {
    expect(leadOf({})).toBe(0);
    expect(leadOf({ a: { delaySamples: 100, polarity: 1 }, b: { delaySamples: -5, polarity: 1 } })).toBe(5);
    expect(leadOf({ a: { delaySamples: 100.5, polarity: 1 } })).toBe(0);
    expect(leadOf({ a: { delaySamples: -5.5, polarity: 1 } })).toBe(6 + 47);
  });
});

describe('a moved source', () => {
  it('reads the same samples in pieces of any length, before the start and after the end too', () => {
    const source = movedSource(sourceOf(noise(300, 9)), { delaySamples: 2.6, polarity: -1 }, 50);
    const whole = new Float64Array(600);
    source.read(-100, whole);
    for (const length of [1, 7, 128, 599]) {
      for (let start = 0; start < 600; start += length) {
        const piece = new Float64Array(Math.min(length, 600 - start));
        source.read(start - 100, piece);
        expect(firstDifference(piece, whole.subarray(start, start + piece.length))).toBe(-1);
      }
    }
    expect(whole.subarray(0, 100 + 5).every((v) => v === 0)).toBe(true); // 50 + 2 - 47 = 5: where the kernel begins
    expect(whole[105]).not.toBe(0);
    expect(source.frames).toBe(300 + 50 + 2 + 48);
    expect(whole[100 + source.frames - 1]).not.toBe(0);
    expect(whole.subarray(100 + source.frames).every((v) => v === 0)).toBe(true);
  });
});
