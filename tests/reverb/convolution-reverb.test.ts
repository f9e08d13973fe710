import { describe, expect, it } from 'vitest';
import {
  ConvolutionReverb,
  type ConvolutionReverbOptions,
  convolutionReverbParameters,
} from '../../src/reverb/convolution-reverb.ts';
import { saveState } from '../../src/core/saved-state.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { firstDifference, impulse, largestDifference, noise, peak, rms } from '../support/signals.ts';

const RATE = 48000;
const stereo = { sampleRateHz: RATE, channels: 2 };
const plain = { normalised: false } as const;
const sizes = convolutionReverbParameters.partitionSamples.choices;

const response = (length: number, seed: number) => noise(length, seed).map((v, n) => v * Math.exp((-4 * n) / length));
const reverb = (options: ConvolutionReverbOptions, channels: Float64Array[], format = stereo, rate = RATE) =>
  new ConvolutionReverb(format, options, { channels, sampleRateHz: rate });

/** Direct convolution is slow: of long signals, every so many samples are computed. It divides no size of a partition. */
const STRIDE = 7;

/** y[n] = sum of h[k] x[n-k], as it is written, for every `stride`-th n. */
function convolved(x: Float64Array, h: Float64Array, stride = 1): Float64Array {
  const y = new Float64Array(x.length);
  for (let n = 0; n < y.length; n += stride) for (let k = 0; k < h.length && k <= n; k++) y[n] += h[k] * x[n - k];
  return y;
}

const thinned = (x: Float64Array, stride: number): Float64Array => x.filter((_, n) => n % stride === 0);

const plus = (a: Float64Array, b: Float64Array): Float64Array => a.map((v, n) => v + b[n]);

describe('ConvolutionReverb', () => {
  const ways = [response(700, 1), response(700, 2), response(700, 3), response(700, 4)];
  obeysProcessorLaws(stereo, {
    create: (o) => reverb(o, ways),
    table: convolutionReverbParameters,
    lively: { preDelayMs: 1, partitionSamples: 256, mixPercent: 70 },
    runs: 4,
  });

  it.each(sizes.flatMap((size) => [true, false].map((zeroLatency) => ({ size, zeroLatency }))))(
    'equals direct convolution within 1e-10 in partitions of $size, zero latency: $zeroLatency',
    ({ size, zeroLatency }) => {
      // Long enough for the last of at least two partitions, and dividing nothing.
      const length = Math.min(2 * size, 3000) + 301;
      const h = response(length, 7),
        x = noise(length + 2 * size + 500, 8);
      const processor = reverb({ ...plain, partitionSamples: size, zeroLatency }, [h], { ...stereo, channels: 1 });
      expect(processor.latencySamples).toBe(zeroLatency ? 0 : size);
      const [y] = render64(processor, [x]);
      const due = convolved(x.subarray(0, x.length - processor.latencySamples), h, STRIDE);
      expect(peak(y.subarray(0, processor.latencySamples))).toBe(0);
      const late = y.subarray(processor.latencySamples);
      expect(largestDifference(thinned(late, STRIDE), thinned(due, STRIDE))).toBeLessThan(1e-10);
    },
  );

  it.each([1, 127, 128, 129, 256, 1000])('equals direct convolution for a response of %d samples', (length) => {
    const h = response(length, 3),
      x = noise(3000, 4);
    const [y] = render64(reverb({ ...plain, partitionSamples: 256 }, [h], { ...stereo, channels: 1 }), [x]);
    expect(largestDifference(y, convolved(x, h))).toBeLessThan(1e-10);
  });

  it('has a way for every channel, one for all, or true stereo: left to left, to right, right to left, to right', () => {
    const x = [noise(1500, 5), noise(1500, 6)];
    const [ll, lr, rl, rr] = ways;
    const through = (channels: Float64Array[]) => render64(reverb({ ...plain, partitionSamples: 128 }, channels), x);
    const expected = {
      one: [convolved(x[0], ll), convolved(x[1], ll)],
      two: [convolved(x[0], ll), convolved(x[1], lr)],
      four: [plus(convolved(x[0], ll), convolved(x[1], rl)), plus(convolved(x[0], lr), convolved(x[1], rr))],
    };
    const got = { one: through([ll]), two: through([ll, lr]), four: through(ways) };
    for (const name of ['one', 'two', 'four'] as const) {
      expect(Math.max(...got[name].map((y, c) => largestDifference(y, expected[name][c])))).toBeLessThan(1e-10);
    }
  });

  it('begins exactly at its pre-delay and gain', () => {
    const format = { ...stereo, channels: 1 };
    const at = (preDelayMs: number) =>
      render64(reverb({ ...plain, preDelayMs, gainDb: 20 }, [ways[0]], format), [impulse(3000)])[0];
    expect(largestDifference(at(12.5).subarray(600), at(0).subarray(0, 2400))).toBeLessThan(1e-13); // rounding of the transforms
    expect(at(12.5).findIndex((v) => Math.abs(v) > 1e-12)).toBe(600);
    expect(at(0)[0] / ways[0][0]).toBeCloseTo(10, 12);
  });

  it('is the dry sound itself at mix 0, in time with its latency', () => {
    const x = [noise(2000, 5), noise(2000, 6)];
    const processor = reverb({ mixPercent: 0, zeroLatency: false, partitionSamples: 256 }, ways);
    const y = render64(processor, x);
    expect(y.map((v, c) => firstDifference(v.subarray(256), x[c].subarray(0, -256)))).toEqual([-1, -1]);
  });

  it('is as loud as white noise going in when normalised, and ends with its response', () => {
    for (const channels of [[ways[0]], ways.slice(0, 2), ways]) {
      const x = [noise(40_000, 5), noise(40_000, 6)];
      const y = render64(reverb({}, channels), x);
      const db = 10 * Math.log10((rms(y[0]) ** 2 + rms(y[1]) ** 2) / (rms(x[0]) ** 2 + rms(x[1]) ** 2));
      expect(Math.abs(db)).toBeLessThan(0.3); // 40 000 samples of noise, coloured by a short response
    }
    const processor = reverb({ preDelayMs: 1 }, ways);
    expect(processor.tailSamples).toBe(699 + 48);
    const [h] = render64(processor, [impulse(2000), new Float64Array(2000)]);
    expect(h[747]).not.toBe(0);
    expect(peak(h.subarray(748))).toBeLessThan(1e-15);
  });

  it('when normalised, has ways of as much energy together as there are channels', () => {
    for (const channels of [[ways[0]], ways.slice(0, 2), ways]) {
      let energy = 0;
      for (const from of [0, 1]) {
        const x = [0, 1].map((c) => (c === from ? impulse(900) : new Float64Array(900)));
        for (const y of render64(reverb({ partitionSamples: 128 }, channels), x))
          energy += y.reduce((sum, v) => sum + v * v, 0);
      }
      expect(energy).toBeCloseTo(2, 10);
    }
  });

  it('takes a response of its own rate as it is, bit for bit where no transform is needed', () => {
    for (const rate of [48000, 22050.5]) {
      const format = { sampleRateHz: rate, channels: 1 };
      const [h] = render64(reverb(plain, [ways[0].slice(0, 100)], format, rate), [impulse(100)]);
      expect(firstDifference(h, ways[0].slice(0, 100))).toBe(-1);
    }
  });

  it('keeps memory for the partitions that the response has, and for no others', () => {
    const format = { ...stereo, channels: 1 };
    const kept = (length: number, partitionSamples: (typeof sizes)[number]) =>
      saveState(reverb({ partitionSamples }, [response(length, 2)], format)).arrays.map((array) => array.length);
    for (const length of [100, 128]) expect(kept(length, 8192)).toEqual(kept(1, 128)); // direct alone
    for (const length of [129, 256, 257, 300]) {
      // Behind the direct part, one kind of partition reaches to the end in either case.
      expect(kept(length, 512)).toHaveLength(kept(length, 128).length);
      expect(kept(length, 128).length).toBeGreaterThan(kept(128, 128).length);
    }
  });

  it('takes a response of another rate: the same sound, resampled', () => {
    // A tone of 1 kHz that decays, sampled at both rates: its samples stand for the same sound times 1 / rate.
    const tone = (rate: number) =>
      Float64Array.from({ length: rate / 10 }, (_, n) => {
        const t = n / rate;
        return (Math.sin(Math.PI * Math.min(1, t / 0.01)) ** 2 * Math.sin(2 * Math.PI * 1000 * t)) / rate;
      });
    const format = { ...stereo, channels: 1 };
    const play = (rate: number) => render64(reverb(plain, [tone(rate)], format, rate), [noise(6000, 3)])[0];
    expect(largestDifference(play(96000), play(48000)) / peak(play(48000))).toBeLessThan(1e-5); // -100 dB
  });

  it('takes as many responses of another rate as nine channels have ways between them', () => {
    const format = { ...stereo, channels: 9 };
    const input = Array.from({ length: 9 }, (_, c) => noise(600, c));
    const own = Array.from({ length: 9 }, (_, c) => response(40, c + 1));
    const silent = new Float64Array(40);
    const between = Array.from({ length: 81 }, (_, way) => (way % 10 === 0 ? own[way / 10] : silent));
    const heard = render64(reverb(plain, between, format, 96000), input);
    expect(largestDifference(heard[8], render64(reverb(plain, own, format, 96000), input)[8])).toBe(0);
  });

  it('refuses a response that does not fit, is empty or silent', () => {
    const name = 'ConvolutionReverb: ';
    expect(() => reverb({}, ways.slice(0, 3))).toThrow(
      new RangeError(`${name}channels of the impulse response must be 1 or 2 or 4, got 3`),
    );
    expect(() => reverb({}, [new Float64Array(0)])).toThrow(`${name}samples of the impulse response must be 1`);
    expect(() => reverb({}, [new Float64Array(9)])).toThrow(`${name}energy of the impulse response must be finite`);
    expect(() => reverb({}, [Float64Array.of(1e200)])).toThrow(`${name}energy of the impulse response must be finite`);
    expect(() => reverb({}, [Float64Array.of(NaN)])).toThrow(RangeError);
    expect(() => reverb({}, [ways[0], response(5, 1)])).toThrow(
      /^ConvolutionReverb: impulse response.* must be 700, got 5/,
    );
    expect(() => reverb({ partitionSamples: 100 as never }, ways)).toThrow(RangeError);
  });
});
