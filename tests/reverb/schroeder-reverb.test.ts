import { describe, expect, it } from 'vitest';
import { type SavedState, saveState } from '../../src/core/saved-state.ts';
import { RealFft } from '../../src/core/fft.ts';
import { kaiser } from '../../src/core/windows.ts';
import {
  SchroederReverb,
  type SchroederReverbOptions,
  schroederReverbParameters,
} from '../../src/reverb/schroeder-reverb.ts';
import { tankDelays } from '../../src/reverb/tank-delays.ts';
import { impulseResponse } from '../support/impulse-response.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { firstDifference, impulse, largestDifference, noise, peak, rms, sine } from '../support/signals.ts';

const RATE = 48000;
const mono = { sampleRateHz: RATE, channels: 1 };
const stereo = { sampleRateHz: RATE, channels: 2 };
const open = { preDelayMs: 0, highpassHz: 10, lowpassHz: 0.49 * RATE };
const decay = (seconds: number) => ({ decaySeconds: seconds, decayHighSeconds: seconds });
const lively = { preDelayMs: 1, ...decay(0.1), highpassHz: 1000, widthPercent: 50 };

const densities = [
  ['low', 4],
  ['medium', 8],
  ['high', 12],
] as const;

const reverb = (options: SchroederReverbOptions = {}, format = stereo) => new SchroederReverb(format, options);
const decibels = (ratio: number): number => 20 * Math.log10(ratio);

describe('SchroederReverb', () => {
  obeysProcessorLaws(stereo, { create: (o) => reverb(o), table: schroederReverbParameters, lively, runs: 5 });

  describe('with one channel and with three', () => {
    for (const channels of [1, 3]) {
      const format = { sampleRateHz: 44100, channels };
      obeysProcessorLaws(format, {
        create: (o) => reverb(o, format),
        table: schroederReverbParameters,
        lively,
        runs: 2,
      });
    }
  });

  it('begins exactly at its pre-delay, and is the same sound there', () => {
    for (const sampleRateHz of [44100, 48000, 96000]) {
      const response = (preDelayMs: number) =>
        impulseResponse(reverb({ ...decay(0.3), preDelayMs }, { sampleRateHz, channels: 1 }), 0.6)[0];
      const undelayed = response(0);
      expect(undelayed[0]).not.toBe(0);
      for (const [preDelayMs, samples] of [
        [12.5, 12.5 * (sampleRateHz / 1000)],
        [33, 33 * (sampleRateHz / 1000)],
        [500, sampleRateHz / 2],
      ]) {
        const first = Math.round(samples);
        const h = response(preDelayMs);
        expect(h.findIndex((y) => y !== 0)).toBe(first);
        expect(firstDifference(h.subarray(first), undelayed.subarray(0, h.length - first))).toBe(-1);
      }
    }
  });

  it('has delays that are distinct primes, and no comb of one channel in another', () => {
    for (const sampleRateHz of [44100, 48000, 96000]) {
      for (const [density, combs] of densities) {
        const tanks = [0, 1].map((channel) => tankDelays(density, channel, sampleRateHz));
        const all = tanks.flatMap((t) => t.combs);
        expect(new Set(all).size).toBe(2 * combs);
        for (const t of tanks) expect(new Set([...t.combs, ...t.allpasses]).size).toBe(combs + 5);
        const divisible = [...all, ...tanks.flatMap((t) => t.allpasses)].filter((n) =>
          Array.from({ length: n - 2 }, (_, d) => d + 2).some((d) => n % d === 0),
        );
        expect(divisible).toEqual([]);
        // 30 to 45 ms, and the next prime is never far.
        expect([Math.min(...all) / sampleRateHz >= 0.03, Math.max(...all) / sampleRateHz < 0.0455]).toEqual([
          true,
          true,
        ]);
      }
    }
  });

  it('keeps the delays of a channel distinct where primes are few', () => {
    for (const [density, combs] of densities) {
      const tanks = Array.from({ length: 16 }, (_, channel) => tankDelays(density, channel, 8000));
      expect(tanks.map((t) => new Set([...t.combs, ...t.allpasses]).size)).toEqual(tanks.map(() => combs + 5));
    }
  });

  it('has the echoes and resonances per comb that its parameter table states', () => {
    const seconds = densities.flatMap(([density]) => tankDelays(density, 0, RATE).combs.map((m) => m / RATE));
    const perComb = (f: (tau: number) => number) => seconds.reduce((sum, tau) => sum + f(tau), 0) / seconds.length;
    expect(Math.round(perComb((tau) => 1 / tau))).toBe(28);
    expect(Math.round(1000 * perComb((tau) => tau))).toBe(36);
  });

  it('is as loud as white noise going in, whatever the decay', () => {
    const levels = (format: typeof stereo, options: SchroederReverbOptions, sameNoise: boolean): number[] => {
      const input = Array.from({ length: format.channels }, (_, c) => noise(3 * RATE, sameNoise ? 1 : c + 1));
      return render64(reverb({ ...open, ...options }, format), input).map((y, c) =>
        decibels(rms(y.subarray(2 * RATE)) / rms(input[c].subarray(2 * RATE))),
      );
    };
    // One second of noise in combs that ring for up to a second has few independent samples per resonance: 0.5 dB.
    const off = (expected: number, all: number[]) => Math.max(...all.map((level) => Math.abs(level - expected)));
    for (const density of ['low', 'high'] as const) {
      for (const options of [decay(0.3), decay(1), { decaySeconds: 1, decayHighSeconds: 0.2 }]) {
        expect(off(0, levels(stereo, { ...options, density }, true))).toBeLessThan(0.5);
      }
    }
    expect(off(0, levels(stereo, { ...decay(0.3), widthPercent: 0 }, true))).toBeLessThan(0.5);
    expect(off(0, levels(stereo, { ...decay(0.3), widthPercent: 60 }, true))).toBeLessThan(0.5);
    expect(off(0, levels(mono, decay(0.3), true))).toBeLessThan(0.5);
    expect(off(-3.01, levels(stereo, decay(0.3), false))).toBeLessThan(0.5);
  });

  it('has an impulse response of energy 1', () => {
    for (const options of [
      decay(0.3),
      { decaySeconds: 1, decayHighSeconds: 0.2 },
      { decaySeconds: 0.3, decayHighSeconds: 0.8 },
    ]) {
      // The low-pass at 0.49 of the rate takes 2 % away.
      for (const h of impulseResponse(reverb({ ...open, ...options }), 1.5)) {
        const energy = h.reduce((sum, y) => sum + y * y, 0);
        expect(energy).toBeGreaterThan(0.96);
        expect(energy).toBeLessThan(1.01);
      }
    }
  });

  it('makes the same tail in all channels at width 0, tails with nothing in common at 100, and half-way at 50', () => {
    const correlation = (widthPercent: number): number => {
      const input = [noise(2 * RATE, 3), noise(2 * RATE, 4)];
      const [left, right] = render64(reverb({ ...open, ...decay(0.5), widthPercent }), input);
      if (widthPercent === 0) expect(firstDifference(left, right)).toBe(-1);
      return left.reduce((sum, y, n) => sum + y * right[n], 0) / left.length / rms(left) / rms(right);
    };
    expect(correlation(0)).toBeCloseTo(1, 12);
    expect(Math.abs(correlation(100))).toBeLessThan(0.06);
    // Blends 3/4 own + 1/4 other of two uncorrelated tails: 2 (3/4) (1/4) / (9/16 + 1/16) = 0.6.
    expect(Math.abs(correlation(50) - 0.6)).toBeLessThan(0.06);
  });

  it('makes a tail on both sides of a drum on one', () => {
    const [left, right] = render64(reverb(decay(0.5)), [impulse(RATE), new Float64Array(RATE)]);
    expect(Math.abs(decibels(rms(left) / rms(right)))).toBeLessThan(0.5);
  });

  it('is the dry sound itself at mix 0, and half of both at 50', () => {
    const input = [noise(RATE / 2, 5), noise(RATE / 2, 6)];
    const wet = render64(reverb({ mixPercent: 100 }), input);
    const dry = render64(reverb({ mixPercent: 0 }), input);
    const half = render64(reverb({ mixPercent: 50 }), input);
    expect(dry.map((y, c) => firstDifference(y, input[c]))).toEqual([-1, -1]);
    const mean = wet.map((y, c) => y.map((v, n) => 0.5 * (v + input[c][n])));
    expect(Math.max(...half.map((y, c) => largestDifference(y, mean[c])))).toBeLessThan(1e-14);
    expect(reverb().latencySamples).toBe(0);
  });

  describe('in front of the tanks', () => {
    /** Magnitude of a response at a frequency: one bin of the Fourier transform. */
    function magnitude(h: Float64Array, hz: number): number {
      let re = 0,
        im = 0;
      for (let n = 0; n < h.length; n++) {
        re += h[n] * Math.cos((2 * Math.PI * hz * n) / RATE);
        im += h[n] * Math.sin((2 * Math.PI * hz * n) / RATE);
      }
      return Math.hypot(re, im);
    }
    // The tanks divide out: what remains is the filter, by the bilinear transform of the second-order Butterworth.
    const [without] = impulseResponse(reverb({ ...open, ...decay(0.2) }, mono), 1);
    const warped = (hz: number): number => Math.tan((Math.PI * hz) / RATE);
    const lowpassDb = (hz: number, corner: number) => -10 * Math.log10(1 + (warped(hz) / warped(corner)) ** 4);
    const highpassDb = (hz: number, corner: number) => -10 * Math.log10(1 + (warped(corner) / warped(hz)) ** 4);
    const gainDb = (h: Float64Array, hz: number) => decibels(magnitude(h, hz) / magnitude(without, hz));

    it.each([200, 1000])('a high-pass is -3.01 dB at %d Hz and falls by 12 dB per octave', (corner) => {
      const [h] = impulseResponse(reverb({ ...open, ...decay(0.2), highpassHz: corner }, mono), 1);
      for (const hz of [corner / 4, corner / 2, corner, 4 * corner]) {
        const expected = highpassDb(hz, corner) - highpassDb(hz, 10);
        expect(gainDb(h, hz)).toBeCloseTo(expected, 4);
      }
      expect(gainDb(h, corner)).toBeCloseTo(-3.01, 2);
    });

    it.each([2000, 8000])('a low-pass is -3.01 dB at %d Hz and falls beyond', (corner) => {
      const [h] = impulseResponse(reverb({ ...open, ...decay(0.2), lowpassHz: corner }, mono), 1);
      for (const hz of [corner / 4, corner, 2 * corner]) {
        const expected = lowpassDb(hz, corner) - lowpassDb(hz, 0.49 * RATE);
        expect(gainDb(h, hz)).toBeCloseTo(expected, 4);
      }
      expect(gainDb(h, corner)).toBeCloseTo(-3.01, 2);
    });
  });

  it('set() makes no click: -100 dB of the tone above 10 kHz', () => {
    const changes: SchroederReverbOptions[] = [
      decay(2),
      { decayHighSeconds: 0.1 },
      { widthPercent: 0 },
      { mixPercent: 20 },
      { preDelayMs: 45 },
      { highpassHz: 500 },
      { lowpassHz: 1000 },
      { ...decay(0.1), widthPercent: 30, preDelayMs: 3, mixPercent: 70, highpassHz: 50, lowpassHz: 18000 },
    ];
    const input = [sine(RATE, 440, RATE), sine(RATE, 440, RATE)];
    const before = RATE / 2;
    const residues = changes.map((change) => {
      const processor = reverb(decay(0.3));
      const head = render64(
        processor,
        input.map((x) => x.subarray(0, before)),
      );
      processor.set(change);
      const tail = render64(
        processor,
        input.map((x) => x.subarray(before)),
      );
      const joined = [...head[0], ...tail[0]];
      return decibels(aboveTenKilohertz(Float64Array.from(joined), before) / peak(joined));
    });
    expect(Math.max(...residues)).toBeLessThan(-100);
    // The measure hears a click: the same tone cut to another level.
    const cut = sine(RATE, 440, RATE, 1, 1).map((x, n) => (n < before ? x : 0.9 * x));
    expect(decibels(aboveTenKilohertz(cut, before))).toBeGreaterThan(-60);
  });

  it('a set() without a new pre-delay or corner leaves delay and filters alone', () => {
    const input = [noise(4000, 1), noise(4000, 2)];
    const changed = reverb();
    changed.set({ ...decay(1), decayHighSeconds: 0.5 }); // the defaults again
    expect(firstDifference(render64(changed, input)[0], render64(reverb(), input)[0])).toBe(-1);
  });

  it('is empty in the end, without denormal numbers on the way, and then like new', () => {
    const format = { sampleRateHz: 8000, channels: 2 };
    const silence = () => [new Float64Array(2048), new Float64Array(2048)];
    const magnitudes = (saved: SavedState): number[] => saved.arrays.flatMap((a) => a.map((v) => Math.abs(Number(v))));
    const processor = reverb(lively, format);
    render64(processor, [noise(2048, 1, 1e6), noise(2048, 2, 1e6)]);
    let least = Infinity;
    // 12 s of silence: a decay of 0.1 s alone would come to 1e-354 of the beginning.
    for (let block = 0; block < 47; block++) {
      render64(processor, silence());
      for (const v of magnitudes(saveState(processor))) if (v > 0 && v < least) least = v;
    }
    expect(least).toBeGreaterThan(1e-300);
    expect(render64(processor, silence()).map((y) => firstDifference(y, new Float64Array(2048)))).toEqual([-1, -1]);
    const drum = [noise(5000, 8), noise(5000, 9)];
    const like = render64(reverb(lively, format), drum);
    expect(render64(processor, drum).map((y, c) => firstDifference(y, like[c]))).toEqual([-1, -1]);
  });

  it('is emptied at the same sample, however the signal is cut', () => {
    const format = { sampleRateHz: 8000, channels: 1 };
    const short = { ...lively, lowpassHz: 2000 };
    const [whole, cut] = [reverb(short, format), reverb(short, format)];
    const play = (processor: SchroederReverb, x: Float64Array, stops: readonly number[]) =>
      stops.forEach((stop, i) => render64(processor, [x.subarray(stops[i - 1] ?? 0, stop)]));
    const drum = noise(11000);
    drum.fill(0, 1000);
    play(whole, drum, [11000]);
    // Sample by sample where the filters' own ringing fades into silence.
    play(cut, drum, [...Array.from({ length: 300 }, (_, i) => 1000 + i), 11000]);
    const differing: number[] = [];
    for (let n = 0; n < 2000; n += 100) {
      for (const processor of [whole, cut]) render64(processor, [new Float64Array(100)]);
      if (JSON.stringify(saveState(whole)) !== JSON.stringify(saveState(cut))) differing.push(n);
    }
    expect(differing).toEqual([]);
  });

  it('wakes at the first sound, in a glide, too', () => {
    const format = { sampleRateHz: 8000, channels: 1 };
    const [fresh, empty] = [reverb(lively, format), reverb(lively, format)];
    render64(empty, [noise(128)]);
    render64(empty, [new Float64Array(128 * 200)]); // 3.2 s, empty after 1.5
    const drum = [noise(2000, 4)];
    const played = [fresh, empty].map((processor) => {
      processor.set({ mixPercent: 90 });
      return render64(processor, drum)[0];
    });
    expect(firstDifference(played[0], played[1])).toBe(-1);
  });

  it('takes what lies 600 dB under full scale for silence', () => {
    const [y] = render64(reverb(open), [noise(8000, 1, 1e-31), noise(8000, 2, 1e-31)]);
    expect(firstDifference(y, new Float64Array(8000))).toBe(-1);
    const [z] = render64(reverb(open), [noise(8000, 1, 1e-27), noise(8000, 2, 1e-27)]);
    expect(rms(z)).toBeGreaterThan(1e-28);
  });

  it('keeps a long tail when the decay is shortened in the silence after it', () => {
    const processor = reverb({ ...open, ...decay(20), highpassHz: 1000 });
    render64(processor, [noise(4800), noise(4800)]);
    render64(processor, [new Float64Array(2 * RATE), new Float64Array(2 * RATE)]);
    processor.set(decay(0.1)); // with which 2 s of silence would have emptied it
    const [y] = render64(processor, [new Float64Array(2400), new Float64Array(2400)]);
    expect(rms(y.subarray(1200))).toBeGreaterThan(1e-4);
  });

  it('set() and reset() make it a new one with these parameters', () => {
    const options = {
      preDelayMs: 7,
      decaySeconds: 0.4,
      decayHighSeconds: 0.7,
      widthPercent: 33,
      highpassHz: 80,
      lowpassHz: 5000,
      mixPercent: 60,
    };
    const input = [noise(6000, 1), noise(6000, 2)];
    const expected = render64(reverb(options), input);
    for (const order of [Object.keys(options), Object.keys(options).reverse()]) {
      const processor = reverb();
      for (const name of order) {
        processor.set({ [name]: options[name as keyof typeof options] });
        render64(processor, [noise(500), noise(500)]);
      }
      processor.reset();
      const output = render64(processor, input);
      expect(output.map((y, c) => firstDifference(y, expected[c]))).toEqual([-1, -1]);
    }
  });

  it('stays below -120 dB of its peak after its tail', () => {
    for (const options of [
      decay(0.3),
      { decaySeconds: 0.2, decayHighSeconds: 0.7 },
      { ...decay(0.2), density: 'low' } as const,
    ]) {
      const processor = reverb({ highpassHz: 1000, ...options });
      const tail = processor.tailSamples;
      const responses = impulseResponse(processor, tail / RATE + 0.5);
      for (const h of responses) expect(peak(h.subarray(tail)) / peak(h)).toBeLessThan(1e-6);
      // Twice the decay, and little more.
      expect(tail / RATE).toBeLessThan(2 * Math.max(...[options.decaySeconds, options.decayHighSeconds]) + 0.1);
    }
  });

  it('refuses what it cannot do, by name', () => {
    expect(() => reverb({ decaySeconds: 0 })).toThrow('SchroederReverb: decaySeconds must be 0.1 to 20, got 0');
    expect(() => reverb({ density: 'huge' as never })).toThrow(RangeError);
    expect(() => reverb({ decay: 1 } as never)).toThrow('the nearest name is d');
    const processor = reverb(decay(0.3));
    expect(() => processor.set({ decaySeconds: 2, lowpassHz: 1 })).toThrow(RangeError);
    const input = [noise(3000, 1), noise(3000, 2)];
    expect(firstDifference(render64(processor, input)[0], render64(reverb(decay(0.3)), input)[0])).toBe(-1);
  });
});

/** Amplitude of the sine with the energy that a signal has above 10 kHz, in the 170 ms about a moment. */
function aboveTenKilohertz(x: Float64Array, at: number): number {
  const size = 8192;
  const window = kaiser(size, 20); // side lobes below -150 dB
  const segment = window.map((w, n) => w * x[at - size / 2 + n]);
  const re = new Float64Array(size / 2 + 1),
    im = new Float64Array(size / 2 + 1);
  new RealFft(size).forward(segment, re, im);
  let energy = 0;
  for (let k = Math.ceil((10_000 * size) / RATE); k < re.length; k++) energy += re[k] ** 2 + im[k] ** 2;
  const sineEnergy = (size / 4) * window.reduce((sum, w) => sum + w * w, 0); // of amplitude 1, by Parseval
  return Math.sqrt(energy / sineEnergy);
}
