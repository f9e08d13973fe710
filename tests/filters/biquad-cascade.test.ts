/** The running cascade: laws, response, fades, refusals. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { restoreState, type SavedState, saveState } from '../../src/core/saved-state.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { allpass, bandpass, highpass, lowpass, notch, peaking } from '../../src/filters/biquad-design.ts';
import { butterworthHighpass, butterworthLowpass } from '../../src/filters/butterworth.ts';
import { firstOrderHighpass, firstOrderLowpass } from '../../src/filters/first-order-design.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { highShelf, lowShelf } from '../../src/filters/shelf-design.ts';
import { obeysProcessorLaws, render64, renderCut } from '../support/processor-laws.ts';
import {
  bursts,
  constant,
  firstDifference,
  impulse,
  largestDifference,
  noise,
  peak,
  sine,
  toFloat32,
} from '../support/signals.ts';
import { peakAboveTenKilohertz } from './above-ten-kilohertz.ts';
import { responseOfImpulse } from './transfer.ts';

const RATES = [44100, 48000, 96000, 192000];
const FADE = 960; // 20 ms
const mono = { sampleRateHz: 48000, channels: 1 };
const three = { sampleRateHz: 48000, channels: 3 }; // a pair and one over
const at = (frequencyHz: number, sampleRateHz = 48000) => ({ sampleRateHz, frequencyHz });
const bell = (frequencyHz: number, gainDb = 6, q = 2) => peaking({ ...at(frequencyHz), q, gainDb });
const decibels = (gain: number): number => 20 * Math.log10(gain);

type Sections = readonly BiquadCoefficients[];

const filtered = (sections: Sections, input: Float64Array): Float64Array =>
  render64(new BiquadCascade(mono, sections), [input])[0];

/** Output of a cascade whose sections are changed at some samples. */
function changing(first: Sections, input: Float64Array, changes: Readonly<Record<number, Sections>>): Float64Array {
  const cascade = new BiquadCascade(mono, first);
  const output = new Float64Array(input.length);
  let start = 0;
  for (const [sample, sections] of Object.entries(changes)) {
    cascade.process([input], [output], { start, end: Number(sample) });
    cascade.setSections(sections);
    start = Number(sample);
  }
  cascade.process([input], [output], { start });
  return output;
}

/** How far a fade that was set before sample `begin` has got at sample n: a raised cosine. */
const weightAt = (n: number, begin: number): number =>
  0.5 - 0.5 * Math.cos((Math.PI * Math.min(Math.max(n - begin + 1, 0), FADE)) / FADE);

type Design = (options: { sampleRateHz: number; frequencyHz: number; q: number; gainDb: number }) => BiquadCoefficients;

/** Any design at all, at 48 kHz. */
const anySection: fc.Arbitrary<BiquadCoefficients> = fc
  .record({
    design: fc.constantFrom<Design>(
      ...[lowpass, highpass, bandpass, notch, allpass].map(
        (design): Design =>
          ({ sampleRateHz, frequencyHz, q }) =>
            design({ sampleRateHz, frequencyHz, q }),
      ),
      peaking,
      lowShelf,
      highShelf,
    ),
    octaves: fc.double({ min: 0, max: 10.2, noNaN: true }), // 20 Hz to 23.5 kHz
    q: fc.double({ min: 0.1, max: 20, noNaN: true }),
    gainDb: fc.double({ min: -24, max: 24, noNaN: true }),
  })
  .map(({ design, octaves, q, gainDb }) => {
    const common = { ...at(20 * 2 ** octaves), q };
    return design({ ...common, gainDb });
  });

describe('BiquadCascade', () => {
  obeysProcessorLaws(three, {
    create: () =>
      new BiquadCascade(three, [bell(200), bell(3000, -9), ...butterworthLowpass({ ...at(9000), order: 3 })]),
    table: {},
    lively: {},
  });

  it.each(RATES)('answers an impulse at %i Hz with the response that frequencyResponse states', (sampleRateHz) => {
    const frequenciesHz = [20, 31.5, 100, 440, 1000, 4999, 10000, 20000];
    const sections = [
      ...butterworthHighpass({ sampleRateHz, frequencyHz: 40, order: 5 }),
      peaking({ sampleRateHz, frequencyHz: 1000, q: 2, gainDb: 12 }),
      lowpass({ sampleRateHz, frequencyHz: 15000, q: 0.9 }),
    ];
    const cascade = new BiquadCascade({ sampleRateHz, channels: 1 }, sections);
    const [output] = render64(cascade, [impulse(2 * cascade.tailSamples)]);
    const stated = frequencyResponse(sections, { sampleRateHz, frequenciesHz });
    expect(largestDifference(responseOfImpulse(output, sampleRateHz, frequenciesHz), stated.magnitudeDb)).toBeLessThan(
      1e-6,
    );
    expect(responseOfImpulse(output, sampleRateHz, [0])[0]).toBeLessThan(-180); // a high-pass at DC
  });

  it('passes the signal bit for bit without sections', () => {
    const input = bursts(2000, 1);
    expect(firstDifference(filtered([], input), input)).toBe(-1);
  });

  describe('setSections()', () => {
    const signal = sine(6000, 80, 48000);

    it('fades along a raised cosine of 20 ms from the old cascade to the new one, which starts from rest', () => {
      const lists = [[bell(300, 9)], [bell(2000, -9)], [bell(80, 12)]];
      const input = noise(5000, 3);
      const output = changing(lists[0], input, { 1000: lists[1], 3000: lists[2] });
      const fromRest = (sections: Sections, begin: number) => {
        const y = new Float64Array(input.length);
        y.set(filtered(sections, input.slice(begin)), begin);
        return y;
      };
      const [a, b, c] = [filtered(lists[0], input), fromRest(lists[1], 1000), fromRest(lists[2], 3000)];
      const expected = a.map((y, n) => {
        const middle = y + weightAt(n, 1000) * (b[n] - y);
        return middle + weightAt(n, 3000) * (c[n] - middle);
      });
      expect(largestDifference(output, expected)).toBeLessThan(1e-14); // amplitudes of 1 in double precision
      expect(firstDifference(output.subarray(1000 + FADE, 3000), b.subarray(1000 + FADE, 3000))).toBe(-1);
      expect(firstDifference(output.subarray(3000 + FADE), c.subarray(3000 + FADE))).toBe(-1);
    });

    // What is left above 10 kHz of an 80 Hz tone at full scale: -90 dBFS is a 16-bit recording's last bit.
    it.each<[string, Sections, Sections]>([
      ['a low-pass from 10 kHz to 20 Hz', [lowpass(at(10_000))], [lowpass(at(20))]],
      ['a low-pass from 20 Hz to 10 kHz', [lowpass(at(20))], [lowpass(at(10_000))]],
      ['a high-pass from 20 Hz to 2 kHz', [highpass(at(20))], [highpass(at(2000))]],
      ['a bell from -12 to +12 dB', [bell(1000, -12, 4)], [bell(1000, 12, 4)]],
      ['a low-cut switched on', [], butterworthHighpass({ ...at(100), order: 6 })],
    ])('does not click: %s', (_, old, next) => {
      const room = [...old, ...next].map(() => lowpass(at(20_000))).slice(old.length);
      const first = old.length < next.length ? [...old, ...room.map(() => identity)] : old;
      let loudest = -Infinity;
      let overshoot = 0;
      for (let phase = 0; phase < 8; phase++) {
        const begin = 2400 + 75 * phase; // eighths of a period
        const output = changing(first, signal, { [begin]: next });
        const [before, after] = [filtered(first, signal), filtered(next, signal)];
        const residue = output.map((y, n) => y - before[n] - weightAt(n, begin) * (after[n] - before[n]));
        loudest = Math.max(loudest, peakAboveTenKilohertz(residue, 48000));
        overshoot = Math.max(overshoot, peak(output.subarray(begin)) / Math.max(peak(before), peak(after)));
      }
      expect(loudest).toBeLessThan(-110);
      expect(decibels(overshoot)).toBeLessThan(3);
    });

    it('a call during a fade waits for its end, and the latest wins', () => {
      const [a, b, c, d] = [[bell(100)], [bell(1000)], [bell(4000)], [bell(9000)]];
      const input = noise(5000, 4);
      const output = changing(a, input, { 500: b, 800: c, 900: d });
      const expected = changing(a, input, { 500: b, [500 + FADE]: d });
      expect(firstDifference(output, expected)).toBe(-1);
    });

    it('takes fewer sections than at construction, and refuses more', () => {
      const input = noise(4000, 5);
      const output = changing([bell(100), bell(200)], input, { 0: [bell(500)] });
      expect(firstDifference(output.slice(FADE), filtered([bell(500)], input).slice(FADE))).toBe(-1);
      expect(() => new BiquadCascade(mono, [bell(100)]).setSections([bell(100), bell(200)])).toThrow(
        new RangeError('BiquadCascade: sections.length must be at most 1, got 2'),
      );
    });

    it('refuses what is not stable or not finite, and changes nothing', () => {
      const refused: [Partial<BiquadCoefficients>, RegExp][] = [
        [{ a1: 0, a2: 1 }, /sections\[1\] must be stable/],
        [{ a1: 0, a2: -1 }, /must be stable/],
        [{ a1: 1.9, a2: 0.9 }, /must be stable .*,1.9,0.9"/],
        [{ a1: -1.9, a2: 0.9 }, /must be stable/],
        [{ a1: NaN }, /must be stable/],
        [{ b1: Infinity }, /must be stable .*Infinity/],
      ];
      const input = noise(3000, 6);
      const sections = [bell(100), bell(200)];
      const cascade = new BiquadCascade(mono, sections);
      for (const [change, message] of refused) {
        const wrong = [bell(300), { ...bell(100), ...change }];
        expect(() => cascade.setSections(wrong)).toThrow(message);
        expect(() => cascade.setSections(wrong)).toThrow(RangeError);
        expect(() => new BiquadCascade(mono, wrong)).toThrow(message);
      }
      expect(firstDifference(render64(cascade, [input])[0], filtered(sections, input))).toBe(-1);
      const edge = { ...identity, a1: -1.8999999, a2: 0.9 };
      expect(() => cascade.setSections([edge])).not.toThrow();
    });

    it('reset() arrives at once', () => {
      const cascade = new BiquadCascade(mono, [bell(100)]);
      const input = noise(3000, 7);
      for (const [sections, samples] of [
        [[bell(300)], 100],
        [[bell(700)], 0],
      ] as const) {
        cascade.setSections(sections);
        render64(cascade, [input.slice(0, samples)]);
      }
      cascade.reset();
      expect(firstDifference(render64(cascade, [input])[0], filtered([bell(700)], input))).toBe(-1);
    });

    it('a saved state holds the sections, those that sound, fade in and wait', () => {
      const input = noise(5000, 8);
      for (const [fadeAt, waitAt] of [
        [0, 0],
        [2000, 0],
        [2000, 2100],
      ]) {
        const cascade = new BiquadCascade(mono, [bell(100), bell(900)]);
        const output = new Float64Array(5000);
        cascade.process([input], [output], { end: 2000 });
        if (fadeAt > 0) cascade.setSections([bell(400)]);
        cascade.process([input], [output], { start: 2000, end: 2200 });
        if (waitAt > 0) cascade.setSections([bell(5000)]);
        const saved = JSON.stringify(saveState(cascade));
        cascade.process([input], [output], { start: 2200 });

        const other = new BiquadCascade(mono, [bell(50), bell(60)]);
        restoreState(other, JSON.parse(saved) as SavedState);
        expect(firstDifference(render64(other, [input.slice(2200)])[0], output.slice(2200))).toBe(-1);
        expect(other.tailSamples).toBe(cascade.tailSamples);
      }
    });
  });

  it('never leaves the sum of its frozen filters while sections change at random, and gives the same bits for any cut', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 700 }), fc.array(anySection, { maxLength: 3 })), { maxLength: 12 }),
        fc.integer({ min: 1, max: 1e6 }),
        (changes, seed) => {
          const input = toFloat32(noise(4000, seed));
          const rendered = [seed, seed + 1].map((cut) => {
            const cascade = new BiquadCascade(mono, [identity, identity, identity]);
            let sample = 0;
            const calls = Object.fromEntries(
              changes.map(([gap, sections]) => [(sample += gap), () => cascade.setSections(sections)]),
            );
            return renderCut(cascade, [input], cut, undefined, sample < 4000 ? calls : {})[0];
          });
          expect(firstDifference(rendered[0], rendered[1])).toBe(-1);
          // Each cascade is a frozen filter from rest: no louder than the sum of |h| of the loudest of them allows.
          const bound = Math.max(1, ...changes.map(([, sections]) => largestGain(sections)));
          expect(peak(rendered[0])).toBeLessThanOrEqual(bound * 1.000001);
        },
      ),
      { numRuns: 40 },
    );
  });

  it('has a tail after which no response is above -120 dB of its peak', () => {
    fc.assert(
      fc.property(fc.array(anySection, { minLength: 1, maxLength: 3 }), (sections) => {
        const cascade = new BiquadCascade(mono, sections);
        const tail = cascade.tailSamples;
        fc.pre(tail < 200_000);
        const response = filtered(sections, impulse(tail + 3000));
        expect(peak(response.subarray(tail)) / peak(response)).toBeLessThan(1e-6);
      }),
      { numRuns: 60 },
    );
  });

  it('has a tail that is a bound for double poles, many equal sections, and no poles at all, and not a wild one', () => {
    const double = lowpass({ ...at(100), q: 0.5 });
    for (const sections of [
      [double],
      Array.from({ length: 8 }, () => double),
      Array.from({ length: 4 }, () => bandpass({ ...at(1000), q: 10 })),
      [firstOrderLowpass(at(50)), firstOrderHighpass(at(50))],
      [{ b0: 1, b1: -2, b2: 1, a1: 0, a2: 0 }],
    ]) {
      const tail = new BiquadCascade(mono, sections).tailSamples;
      const response = filtered(sections, impulse(tail + 100));
      const audible = response.findLastIndex((y) => Math.abs(y) > 1e-6 * peak(response));
      expect(audible).toBeLessThan(tail);
      expect(tail).toBeLessThan(20 + 4 * audible);
    }
    const slow = { ...identity, a2: 1 - 2 ** -53 }; // the pole nearest to the unit circle
    expect(new BiquadCascade(mono, [slow]).tailSamples).toBeGreaterThan(1e16);
  });

  it('becomes exactly silent after the signal, in float64 and whatever came before', () => {
    const cascade = new BiquadCascade(mono, [highpass(at(30)), bell(60, 12, 4)]);
    render64(cascade, [noise(5000, 9)]);
    const rest = render64(cascade, [constant(0, 48000 * 10)])[0];
    expect(rest.findLastIndex((y) => y !== 0)).toBeLessThan(48000 * 8); // 700 dB at 87 dB/s of the bell's poles
  });
});

const identity: BiquadCoefficients = { b0: 1, b1: 0, b2: 0, a1: 0, a2: 0 };

/** The most by which a cascade can raise a peak: the sum of the magnitudes of its impulse response. */
function largestGain(sections: Sections): number {
  return filtered([...sections, identity], impulse(60_000)).reduce((sum, y) => sum + Math.abs(y), 0);
}
