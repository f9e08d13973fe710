import { describe, expect, it } from 'vitest';
import { resample, Resampler } from '../../src/filters/resampler.ts';
import {
  bursts,
  constant,
  firstDifference,
  impulse,
  largestDifference,
  noise,
  numbers,
  peak,
  sine,
  toFloat32,
} from '../support/signals.ts';

/** Pairs of rates up and down, in simple ratios and not. */
const RATES: readonly (readonly [number, number])[] = [
  [44_100, 48_000],
  [48_000, 44_100],
  [48_000, 96_000],
  [96_000, 48_000],
  [96_000, 44_100],
  [22_050, 48_000],
  [48_000, 11_025],
  [8000, 384_000],
  [384_000, 8000],
];

/** Edges of the transition as shares of the lower rate: 20 and 24.1 kHz at 44.1 kHz. */
const PASS = 20 / 44.1;
const STOP = 24.1 / 44.1;

const dB = (gain: number): number => 20 * Math.log10(gain);
const greatestDivisor = (a: number, b: number): number => (b === 0 ? a : greatestDivisor(b, a % b));

/** Sines of 200 samples of the lower rate, one per channel, and the same sines at the other rate; 50 left out at each end. */
function sines(frequenciesHz: readonly number[], fromHz: number, toHz: number): [Float64Array[], Float64Array[]] {
  const low = Math.min(fromHz, toHz);
  const at = (rateHz: number) => frequenciesHz.map((f) => sine(Math.ceil((200 * rateHz) / low), f, rateHz, 1, 0.3));
  const inner = (y: Float64Array) => y.slice(Math.ceil((50 * toHz) / low), Math.ceil((150 * toHz) / low));
  return [resample(at(fromHz), fromHz, toHz).map(inner), at(toHz).map(inner)];
}

describe('resample', () => {
  for (const [fromHz, toHz] of RATES) {
    const low = Math.min(fromHz, toHz);
    const [up, down] = [toHz, fromHz].map((rateHz) => rateHz / greatestDivisor(fromHz, toHz));
    const name = `${fromHz} to ${toHz} Hz`;

    it(`${name}: sines in the band become the same sines, within -110 dB`, () => {
      // So level and phase are right (0.01 dB would be -59 dB), no image is left, and nothing is early or late.
      const shares = [0, 0.0003, 0.01, 0.1, 0.2371, 0.25, 0.3333, 0.4, 20 / 48, 0.44, PASS];
      const [got, expected] = sines(
        shares.map((share) => share * low),
        fromHz,
        toHz,
      );
      const errors = got.map((y, c) => dB(largestDifference(y, expected[c])));
      expect(Math.max(...errors)).toBeLessThan(-110);
    });

    it(`${name}: an impulse becomes a symmetric kernel at the same time`, () => {
      // Input sample `turns` M falls on output sample `turns` L.
      const turns = Math.ceil((60 * fromHz) / low / down);
      const [h] = resample([impulse(2 * turns * down + 1, turns * down)], fromHz, toHz);
      const middle = turns * up;
      const [before, after] = [h.slice(0, middle).reverse(), h.slice(middle + 1, 2 * middle + 1)];
      expect(largestDifference(before, after)).toBe(0);
      expect(h[middle]).toBeCloseTo(Math.min(1, toHz / fromHz), 14); // the ideal low-pass: twice its cut-off
    });

    it(`${name}: gives N toHz / fromHz samples, rounded up`, () => {
      for (const frames of [0, 1, 2, 127, 128, 129, 1000]) {
        const output = resample([noise(frames), noise(frames, 2)], fromHz, toHz);
        expect(output.map((y) => y.length)).toEqual(Array(2).fill(Math.ceil((frames * toHz) / fromHz)));
      }
    });
  }

  for (const [fromHz, toHz] of RATES) {
    it(`${fromHz} to ${toHz} Hz: ends as if silence followed`, () => {
      const x = noise(500, 7);
      const followed = new Float64Array(500 + 5000);
      followed.set(x);
      const [[y], [longer]] = [resample([x], fromHz, toHz), resample([followed], fromHz, toHz)];
      expect(firstDifference(y, longer.subarray(0, y.length))).toBe(-1);
    });
  }

  // From 48 to 44.1 kHz there are none: the transition ends at 24.1 kHz.
  for (const [fromHz, toHz] of RATES.filter(([from, to]) => from / 2 > STOP * to)) {
    it(`${fromHz} to ${toHz} Hz: tones above the transition are at least 110 dB down`, () => {
      const next = numbers(fromHz);
      const tones = Array.from({ length: 20 }, (_, i) => STOP * toHz + (i && next()) * (fromHz / 2 - STOP * toHz));
      const [got] = sines(tones, fromHz, toHz);
      expect(Math.max(...got.map((y) => dB(peak(y))))).toBeLessThan(-110);
    });
  }

  it('48000 to 44100 Hz: a tone of 23 kHz folds to 21.1 kHz, and not into the band', () => {
    const [y] = resample([sine(8820, 23_000, 48_000)], 48_000, 44_100);
    const part = y.subarray(2000, 2000 + 4410); // 0.1 s: bins of 10 Hz, under a Blackman window
    const level = (frequencyHz: number): number => {
      let re = 0,
        im = 0;
      for (let n = 0; n < part.length; n++) {
        const turn = (2 * Math.PI * n) / 4410,
          window = (0.42 - 0.5 * Math.cos(turn) + 0.08 * Math.cos(2 * turn)) / (0.42 * 4410);
        re += 2 * window * part[n] * Math.cos((2 * Math.PI * frequencyHz * n) / 44_100);
        im += 2 * window * part[n] * Math.sin((2 * Math.PI * frequencyHz * n) / 44_100);
      }
      return dB(Math.hypot(re, im));
    };
    expect(level(21_100)).toBeGreaterThan(-60); // in the transition, where it passes in part
    expect(Math.max(...Array.from({ length: 40 }, (_, i) => level(500 * (i + 1))))).toBeLessThan(-110);
  });

  it('leaves a signal as it is when the rate stays', () => {
    const x = bursts(700, 3);
    expect(largestDifference(resample([x], 48_000, 48_000)[0], x)).toBe(0);
  });

  it('there and back again is the same within -110 dB', () => {
    const next = numbers(2);
    const x = new Float64Array(2940);
    for (let s = 1; s <= 40; s++) {
      const part = sine(x.length, 500 * s, 44_100, 1 / 40, 6 * next());
      for (let n = 0; n < x.length; n++) x[n] += part[n];
    }
    const [back] = resample(resample([x], 44_100, 48_000), 48_000, 44_100);
    expect(back.length).toBe(x.length);
    const error = largestDifference(back.subarray(200, 2740), x.subarray(200, 2740));
    expect(dB(error / peak(x))).toBeLessThan(-110);
  });

  it('refuses rates out of range, not whole, or in no simple ratio', () => {
    const x = [noise(10)];
    expect(() => resample(x, 4000, 48_000)).toThrow('Resampler: fromHz must be 8000 to 384000, got 4000');
    expect(() => resample(x, 48_000, 44_100.5)).toThrow(
      'Resampler: toHz must be a whole number from 8000 to 384000, got 44100.5',
    );
    expect(() => resample(x, 44_100, '48000' as never)).toThrow(TypeError);
    expect(() => resample(x, 44_100, 44_101)).toThrow(
      'Resampler: fromHz and toHz must be in a simpler ratio than 44101/44100, which needs 3880888 taps, at most 1048576',
    );
    expect(() => resample([], 44_100, 48_000)).toThrow('Resampler: channels must be 1 to 64, got 0');
  });

  it('takes a ratio that needs exactly as many taps as are allowed: 4096 rows of 256', () => {
    expect(new Resampler({ fromHz: 23_602, toHz: 8192, channels: 1 }).latencySamples).toBe(128);
  });
});

/** Converts in pieces of random lengths, 0 among them, into arrays that are just long enough. */
function cut(resampler: Resampler, input: readonly Float64Array[], seed: number): Float64Array[] {
  const next = numbers(seed);
  const output: number[][] = input.map(() => []);
  const take = (count: number, write: (room: Float64Array[]) => number) => {
    const room = input.map(() => new Float64Array(resampler.maximumOutput(count)));
    const written = write(room);
    expect(written).toBeLessThanOrEqual(room[0].length);
    room.forEach((y, c) => output[c].push(...y.subarray(0, written)));
  };
  for (let at = 0; at < input[0].length;) {
    const count = Math.min(input[0].length - at, Math.floor(next() ** 3 * 600));
    const piece = input.map((x) => x.subarray(at));
    take(count, (room) => resampler.process(piece, count, room));
    at += count;
  }
  take(resampler.latencySamples, (room) => resampler.flush(room));
  return output.map((y) => Float64Array.from(y));
}

describe('Resampler', () => {
  for (const [fromHz, toHz] of RATES) {
    it(`${fromHz} to ${toHz} Hz: gives the same bits however the stream is cut, and after a flush`, () => {
      const input = [bursts(2500, 1), bursts(2500, 2)];
      const whole = resample(input, fromHz, toHz);
      const resampler = new Resampler({ fromHz, toHz, channels: 2 });
      for (const seed of [1, 2]) {
        const pieces = cut(resampler, input, seed);
        expect(pieces.map((y, c) => firstDifference(y, whole[c]))).toEqual([-1, -1]);
      }
    });

    it(`${fromHz} to ${toHz} Hz: gives an output sample as soon as the inputs to latencySamples after its time are in`, () => {
      const resampler = new Resampler({ fromHz, toHz, channels: 1 });
      const output = [new Float64Array(resampler.maximumOutput(1))];
      let written = 0,
        wrong = 0;
      for (let inputs = 1; inputs <= 2000; inputs++) {
        written += resampler.process([constant(1, 1)], 1, output);
        const known = Math.max(0, Math.ceil(((inputs - resampler.latencySamples) * toHz) / fromHz));
        if (written !== known) wrong++;
      }
      expect(wrong).toBe(0);
    });
  }

  it('is late by 44 samples of the lower rate, in samples of the input', () => {
    const latency = (fromHz: number, toHz: number) => new Resampler({ fromHz, toHz, channels: 1 }).latencySamples;
    expect(latency(44_100, 48_000)).toBe(44);
    expect(latency(96_000, 48_000)).toBe(88);
    expect(latency(48_000, 44_100)).toBe(48); // 47.9, rounded up
  });

  it('goes on from its state', () => {
    const options = { fromHz: 48_000, toHz: 36_000, channels: 1 };
    const x = noise(1000);
    const [one, other] = [new Resampler(options), new Resampler(options)];
    const y = [0, 1].map(() => [new Float64Array(1200)]);
    one.process([x], 333, y[0]);
    one.state.forEach((array, a) => other.state[a].set(array));
    const counts = [one.process([x], 500, y[0]), other.process([x], 500, y[1])];
    expect(counts[0]).toBe(counts[1]);
    expect(firstDifference(y[0][0].subarray(0, counts[0]), y[1][0].subarray(0, counts[0]))).toBe(-1);
  });

  it('begins anew after a reset', () => {
    const [x, y] = [noise(300), new Float64Array(600)];
    const resampler = new Resampler({ fromHz: 44_100, toHz: 48_000, channels: 1 });
    resampler.process([x], 300, [y]);
    resampler.reset();
    const written = resampler.process([x], 200, [y]);
    expect(firstDifference(y.subarray(0, written), resample([x], 44_100, 48_000)[0].subarray(0, written))).toBe(-1);
  });

  it('takes Float32 and gives Float32, rounded once', () => {
    const x = toFloat32(bursts(900, 4));
    const resampler = new Resampler({ fromHz: 44_100, toHz: 48_000, channels: 1 });
    const y = new Float32Array(1200);
    const written = resampler.process([x], 900, [y]);
    const [wide] = resample([x], 44_100, 48_000);
    expect(firstDifference(y.subarray(0, written), toFloat32(wide.subarray(0, written)))).toBe(-1);
  });

  it('counts what is not finite or above 1e6 as 0', () => {
    const spoilt = noise(600),
      zeroed = spoilt.slice();
    [NaN, Infinity, -Infinity, 2e6].forEach((bad, i) => {
      spoilt[100 + 50 * i] = bad;
      zeroed[100 + 50 * i] = 0;
    });
    const resampler = new Resampler({ fromHz: 48_000, toHz: 44_100, channels: 1 });
    const y = [new Float64Array(600)];
    const written = resampler.process([spoilt], 600, y);
    const [clean] = resample([zeroed], 48_000, 44_100);
    expect(firstDifference(y[0].subarray(0, written), clean.subarray(0, written))).toBe(-1);
    expect(resampler.nonFiniteInputs).toBe(4);
    resampler.reset();
    expect(resampler.nonFiniteInputs).toBe(0);
  });

  it('refuses blocks that do not fit, and has changed nothing then', () => {
    const resampler = new Resampler({ fromHz: 24_000, toHz: 48_000, channels: 2 });
    const block = (length: number, channels = 2) => Array.from({ length: channels }, () => noise(length));
    resampler.process(block(100), 100, block(200));
    const before = resampler.state.map((array) => array.slice());
    expect(() => resampler.process(block(10, 1), 10, block(20))).toThrow(/^Resampler: input must \w+ 2.*got 1/);
    expect(() => resampler.process(block(10), 11, block(22))).toThrow('count must be 0 to 10, got 11');
    expect(() => resampler.process(block(10), 10, block(19))).toThrow('output must hold 20 samples, got 19');
    expect(() => resampler.process(block(10), 10, block(20, 1))).toThrow(/^Resampler: output must \w+ 2.*got 1/);
    expect(() => resampler.flush(block(87))).toThrow('output must hold 88 samples, got 87');
    expect(() => resampler.process([[1, 2]] as never, 1, block(2))).toThrow(RangeError);
    const same = resampler.state.every((array, a) => firstDifference(array, before[a]) === -1);
    expect(same).toBe(true);
  });
});
