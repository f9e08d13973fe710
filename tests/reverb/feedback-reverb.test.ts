import { describe, expect, it } from 'vitest';
import { RealFft } from '../../src/core/fft.ts';
import { type SavedState, saveState } from '../../src/core/saved-state.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { highpass, lowpass } from '../../src/filters/biquad-design.ts';
import { measureDecay } from '../../src/reverb/decay-measurement.ts';
import { Diffuser } from '../../src/reverb/diffuser.ts';
import { echoDensity } from '../../src/reverb/echo-density.ts';
import {
  FeedbackReverb,
  type FeedbackReverbOptions,
  feedbackReverbParameters,
} from '../../src/reverb/feedback-reverb.ts';
import { FeedbackNetwork } from '../../src/reverb/feedback-network.ts';
import { networkDelays } from '../../src/reverb/network-delays.ts';
import { octaveBands } from '../../src/reverb/octave-bands.ts';
import { smoothDecays } from '../support/feedback-reverb-options.ts';
import { impulseResponse } from '../support/impulse-response.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { firstDifference, impulse, largestDifference, noise, peak, rms } from '../support/signals.ts';

const RATE = 48000;
const stereo = { sampleRateHz: RATE, channels: 2 };
const open = { preDelayMs: 0, highpassHz: 10, lowpassHz: 0.49 * RATE };
const flat = {
  decay125HzPercent: 100,
  decay250HzPercent: 100,
  decay500HzPercent: 100,
  decay1000HzPercent: 100,
  decay2000HzPercent: 100,
  decay4000HzPercent: 100,
  decay8000HzPercent: 100,
};
const small = { lengthMetres: 3, widthMetres: 2.5, heightMetres: 2.2 };
const lively = { ...small, preDelayMs: 1, decaySeconds: 0.1, highpassHz: 1000, lines: 8, tail: 'gate' } as const;

const reverb = (options: FeedbackReverbOptions = {}, format = stereo) => new FeedbackReverb(format, options);
const decibels = (ratio: number): number => 20 * Math.log10(ratio);
const energy = (x: Float64Array): number => x.reduce((sum, v) => sum + v * v, 0);

describe('FeedbackReverb', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => reverb(o),
    table: feedbackReverbParameters,
    lively,
    arrange: smoothDecays,
    runs: 3,
  });

  describe('with three channels at 22.05 kHz', () => {
    const format = { sampleRateHz: 22050, channels: 3 };
    obeysProcessorLaws(format, {
      create: (o) => reverb(o, format),
      table: feedbackReverbParameters,
      lively: { ...lively, tail: 'duck', lengthMetres: 1, widthMetres: 1, heightMetres: 1 }, // lines below 128 samples
      arrange: smoothDecays,
      runs: 1,
    });
  });

  it('begins exactly at its pre-delay, and is the same sound there', () => {
    const response = (preDelayMs: number) => impulseResponse(reverb({ modulationPercent: 0, preDelayMs }), 0.6)[0];
    const undelayed = response(0);
    const start = undelayed.findIndex((v) => v !== 0);
    for (const [preDelayMs, samples] of [
      [12.5, 600],
      [33, 1584],
    ]) {
      const h = response(preDelayMs);
      expect(h.findIndex((v) => v !== 0)).toBe(start + samples);
      expect(firstDifference(h.subarray(samples), undelayed.subarray(0, h.length - samples))).toBe(-1);
    }
  });

  it.each([22050, 44100, 96000, 192000])(
    'decays alike at %d Hz, within 2 %, T30 of both channels of one room',
    (rate) => {
      const at = (sampleRateHz: number): number => {
        const options = { ...open, ...flat, lowpassHz: 8000, decaySeconds: 0.5, earlyPercent: 0 };
        const responses = impulseResponse(reverb(options, { sampleRateHz, channels: 2 }), 0.7);
        return responses.reduce((sum, h) => sum + measureDecay(h, sampleRateHz).t30Seconds / 2, 0);
      };
      expect(Math.abs(at(rate) / 0.5 - 1)).toBeLessThan(0.02);
    },
  );

  it('is as loud as white noise going in, early or late, within 1 dB', () => {
    const input = [noise(2 * RATE, 1), noise(2 * RATE, 2)];
    for (const earlyPercent of [0, 50, 100]) {
      for (const decaySeconds of [0.3, 1]) {
        const y = render64(reverb({ ...open, ...flat, earlyPercent, decaySeconds }), input);
        const levels = y.map((v, c) => decibels(rms(v.subarray(RATE)) / rms(input[c].subarray(RATE))));
        expect(Math.max(...levels.map(Math.abs))).toBeLessThan(1);
      }
    }
  });

  it('is true stereo: four ways that have nothing in common, and as loud', () => {
    const from = (side: number) =>
      render64(
        reverb({ ...open, earlyPercent: 0 }),
        side === 0 ? [impulse(RATE), new Float64Array(RATE)] : [new Float64Array(RATE), impulse(RATE)],
      );
    const ways = [...from(0), ...from(1)];
    const correlations = ways.flatMap((a, i) =>
      ways.slice(i + 1).map((b) => a.reduce((sum, v, n) => sum + v * b[n], 0) / Math.sqrt(energy(a) * energy(b))),
    );
    expect(Math.max(...correlations.map(Math.abs))).toBeLessThan(0.15);
    expect(
      Math.max(
        ...ways.map((h) => Math.abs(10 * Math.log10((2 * energy(h)) / (energy(ways[0]) + energy(ways[3]))))),
      ).valueOf(),
    ).toBeLessThan(1.5);
  });

  it('is as dense as noise by 50 ms in a small room', () => {
    const h = impulseResponse(reverb({ preDelayMs: 0, decaySeconds: 0.8 }), 0.4)[0];
    const { timesSeconds, density } = echoDensity(h, RATE);
    const means = [0.05, 0.1, 0.2, 0.3].map((t) => {
      const near = [...density].filter((_, w) => Math.abs(timesSeconds[w] - t) < 0.021);
      return near.reduce((sum, v) => sum + v, 0) / near.length;
    });
    expect(Math.min(...means)).toBeGreaterThan(0.9);
  });

  it('modulation bends no tone: it comes out at its frequency, spread by the rate of the turns only', () => {
    const size = 131072,
      hz = 1000;
    const tone = Float64Array.from({ length: size + RATE }, (_, n) => Math.sin((2 * Math.PI * hz * n) / RATE));
    const turning = { modulationPercent: 100, modulationHz: 1 };
    const [y] = render64(reverb({ ...open, ...flat, decaySeconds: 0.5, ...turning }), [tone, tone]);
    const part = y.subarray(RATE).map((v, n) => v * (1 - Math.cos((2 * Math.PI * n) / size))); // Hann, without the onset
    const fft = new RealFft(size);
    const re = new Float64Array(fft.bins),
      im = new Float64Array(fft.bins);
    fft.forward(part, re, im);
    let near = 0,
      all = 0,
      moment = 0;
    re.forEach((v, bin) => {
      const power = v * v + im[bin] * im[bin],
        offset = (bin * RATE) / size - hz;
      all += power;
      if (Math.abs(offset) < 10) {
        near += power;
        moment += power * offset;
      }
    });
    expect(10 * Math.log10((all - near) / near)).toBeLessThan(-40); // no side line beyond ten turns per second
    expect(Math.abs(moment / near)).toBeLessThan(0.6); // 0.06 %: a cent, a fifth of what can just be heard
  });

  it('gate: the tail is cut by its range after hold and release; duck: it rises then', () => {
    const drum = noise(RATE, 3);
    drum.fill(0, 2400);
    const play = (options: FeedbackReverbOptions) =>
      render64(reverb({ ...open, decaySeconds: 3, tailHoldMs: 150, tailReleaseMs: 10, tailRangeDb: 30, ...options }), [
        drum,
        drum,
      ])[0];
    const [free, gated, ducked] = (['free', 'gate', 'duck'] as const).map((tail) => play({ tail }));
    const ratioDb = (y: Float64Array, from: number, to: number) =>
      decibels(rms(y.subarray(from * RATE, to * RATE)) / rms(free.subarray(from * RATE, to * RATE)));
    expect(ratioDb(gated, 0.06, 0.19)).toBeCloseTo(0, 1);
    expect(ratioDb(gated, 0.5, 0.9)).toBeCloseTo(-30, 1);
    expect(ratioDb(ducked, 0.06, 0.19)).toBeCloseTo(-30, 1);
    expect(ratioDb(ducked, 0.5, 0.9)).toBeCloseTo(0, 1);
  });

  it('sums to mono without losing more than 1 dB in any octave, for a drum in the middle', () => {
    const sum = new Float64Array(7),
      parts = new Float64Array(7);
    const centres = [125, 250, 500, 1000, 2000, 4000, 8000];
    for (const lengthMetres of [4, 5, 6, 7]) {
      const [left, right] = impulseResponse(reverb({ ...open, lengthMetres }), 1);
      const bands = [left, right, left.map((v, n) => (v + right[n]) * Math.SQRT1_2)].map((h) =>
        octaveBands(h, RATE, centres),
      );
      centres.forEach((_, b) => {
        parts[b] += energy(bands[0][b]) + energy(bands[1][b]);
        sum[b] += 2 * energy(bands[2][b]);
      });
    }
    expect(Math.min(...sum.map((v, b) => 10 * Math.log10(v / parts[b])))).toBeGreaterThan(-1);
  });

  it('is the dry sound itself at mix 0, without latency', () => {
    const input = [noise(4000, 5), noise(4000, 6)];
    const y = render64(reverb({ mixPercent: 0 }), input);
    expect(y.map((v, c) => firstDifference(v, input[c]))).toEqual([-1, -1]);
    expect(reverb().latencySamples).toBe(0);
  });

  it('stays below -120 dB of its peak after its tail', () => {
    const processor = reverb({ ...small, preDelayMs: 10, decaySeconds: 0.4, highpassHz: 1000 });
    const tail = processor.tailSamples;
    for (const h of impulseResponse(processor, tail / RATE + 0.2)) {
      expect(peak(h.subarray(tail)) / peak(h)).toBeLessThan(1e-6);
    }
    expect(tail / RATE).toBeLessThan(2 * 0.44 * 1.15 + 0.15);
  });

  it('is empty in the end, without denormal numbers on the way', () => {
    const format = { sampleRateHz: 8000, channels: 2 };
    const processor = reverb({ ...small, decaySeconds: 0.1, highpassHz: 1000, lowpassHz: 3000, lines: 8 }, format);
    render64(processor, [noise(2048, 1, 1e6), noise(2048, 2, 1e6)]);
    let least = Infinity;
    for (let block = 0; block < 30; block++) {
      render64(processor, [new Float64Array(1024), new Float64Array(1024)]);
      const saved: SavedState = saveState(processor);
      for (const array of saved.arrays)
        for (const v of array) if (Number(v) !== 0) least = Math.min(least, Math.abs(Number(v)));
    }
    expect(least).toBeGreaterThan(1e-300);
    const y = render64(processor, [new Float64Array(1024), new Float64Array(1024)]);
    expect(Math.max(...y.map(peak))).toBe(0);
  });

  it('refuses neighbouring octaves that differ by more than a factor of 2, and more channels than lines', () => {
    expect(() => reverb({ decay4000HzPercent: 40 })).toThrow(
      new RangeError('FeedbackReverb: decay4000HzPercent must be 45 to 180 beside decay2000HzPercent 90, got 40'),
    );
    const processor = reverb(flat);
    expect(() => processor.set({ decay125HzPercent: 10 })).toThrow(RangeError);
    expect(processor.values.decay125HzPercent).toBe(100);
    expect(() => reverb({ lines: 8 }, { sampleRateHz: RATE, channels: 9 })).toThrow(
      'FeedbackReverb: channels must be 1 to 8 (lines), got 9',
    );
  });

  it('set() of everything during sound leaves no click: the difference from sample to sample stays that of the sound', () => {
    const tone = Float64Array.from({ length: RATE }, (_, n) => Math.sin((2 * Math.PI * 200 * n) / RATE));
    const processor = reverb({ ...flat, highpassHz: 10 });
    render64(processor, [tone, tone]);
    processor.set({
      decaySeconds: 0.3,
      earlyPercent: 80,
      diffusionPercent: 10,
      absorptionPercent: 60,
      modulationPercent: 80,
    });
    const [y] = render64(processor, [tone, tone]);
    const second = y.map((v, n) => (n > 1 ? v - 2 * y[n - 1] + y[n - 2] : 0));
    // Of a 200 Hz tone of amplitude A: A (2 pi 200 / 48000)^2 = 0.00069 A. A step would show by its height.
    expect(peak(second.subarray(2)) / peak(y)).toBeLessThan(0.004);
  });

  describe('at 8 kHz, where a second is short', () => {
    const rate = 8000;
    const one = { sampleRateHz: rate, channels: 1 };
    const straight = { preDelayMs: 0, highpassHz: 10, lowpassHz: 3920, lines: 8 } as const;
    const play = (options: FeedbackReverbOptions, x: Float64Array) => render64(reverb(options, one), [x])[0];

    it('is sqrt(e) of the early and sqrt(1 - e) of the late sound, mixed with the dry', () => {
      const x = noise(1500, 1);
      const at = (earlyPercent: number, mixPercent = 100) =>
        play({ ...straight, ...small, earlyPercent, mixPercent }, x);
      const early = at(100),
        late = at(0);
      const whole = x.map((_, n) => Math.sqrt(0.2) * early[n] + Math.sqrt(0.8) * late[n]);
      expect(largestDifference(at(20), whole)).toBeLessThan(1e-13);
      const mixed = x.map((v, n) => 0.7 * v + 0.3 * whole[n]);
      expect(largestDifference(at(20, 30), mixed)).toBeLessThan(1e-13);
      expect(Math.min(rms(early), rms(late))).toBeGreaterThan(0.1);
    });

    it('begins at its pre-delay from the start, and after it was moved and reset', () => {
      const begin = (processor: FeedbackReverb) =>
        render64(processor, [impulse(700)])[0].findIndex((v) => Math.abs(v) > 1e-6);
      const start = begin(reverb({ ...straight, ...small }, one));
      expect(begin(reverb({ ...straight, ...small, preDelayMs: 12.5 }, one))).toBe(start + 100);
      const moved = reverb({ ...straight, ...small }, one);
      moved.set({ preDelayMs: 50 });
      moved.reset();
      expect(begin(moved)).toBe(start + 400);
    });

    it('hears nothing at 0 Hz nor at half the sample rate, as the formulas of its filters say', () => {
      const h = play({ ...straight, ...small, earlyPercent: 100, highpassHz: 500, lowpassHz: 2000 }, impulse(2000));
      expect(Math.abs(h.reduce((sum, v) => sum + v, 0))).toBeLessThan(1e-10);
      expect(Math.abs(h.reduce((sum, v, n) => sum + (n % 2 === 0 ? v : -v), 0))).toBeLessThan(1e-10);
      expect(energy(h)).toBeGreaterThan(0.1);
    });

    it.each([{ highpassHz: 500 }, { lowpassHz: 2000 }, { preDelayMs: 3 }])('moves to %o alone', (change) => {
      const processor = reverb({ ...straight, ...small }, one);
      processor.set(change);
      processor.reset();
      const x = noise(400, 1);
      expect(firstDifference(render64(processor, [x])[0], play({ ...straight, ...small, ...change }, x))).toBe(-1);
    });

    it('smears what enters the network by four allpasses, whose gain is 0.7 at 100 %', () => {
      const first = (diffusionPercent: number, decays: FeedbackReverbOptions) => {
        const h = play({ ...straight, ...small, ...decays, earlyPercent: 0, diffusionPercent }, impulse(400));
        return h.find((v) => v !== 0) ?? NaN; // straight through the allpasses: g^4, then the shortest line
      };
      const long = { decaySeconds: 5 };
      expect(first(100, long) / first(50, long)).toBeCloseTo(16, 9);
      // Where the room decays faster than such allpasses ring, they have the gains of half its shortest decay.
      const short = { ...flat, decaySeconds: 0.1, decay125HzPercent: 200 };
      const gains = new Diffuser(0, rate).design(1, 0.1);
      expect(Math.max(...gains)).toBeLessThan(0.7 + 1e-15);
      expect(Math.min(...gains)).toBeLessThan(0.6);
      const product = gains.reduce((all, gain) => all * gain, 1);
      expect(first(100, short) / first(50, short)).toBeCloseTo(product / 0.35 ** 4, 9);
    });

    it('gate: closed, it is lower by its range', () => {
      const x = impulse(3000, 0, 0.5);
      const gated = {
        ...straight,
        ...small,
        ...flat,
        decaySeconds: 2,
        tailHoldMs: 20,
        tailReleaseMs: 2,
        tailRangeDb: 30,
      };
      const free = play(gated, x),
        closed = play({ ...gated, tail: 'gate' }, x);
      for (const from of [800, 1600]) {
        const part = (y: Float64Array) => rms(y.subarray(from, from + 400));
        expect(decibels(part(closed) / part(free))).toBeCloseTo(-30, 6);
      }
    });

    it('turns its lines by its modulation: 0 % is a room at rest, which answers alike at any time', () => {
      const answers = (options: FeedbackReverbOptions) => {
        const processor = reverb(
          { ...straight, ...small, ...flat, decaySeconds: 0.1, earlyPercent: 0, ...options },
          one,
        );
        const answer = () => render64(processor, [impulse(2048)])[0].subarray(0, 1024);
        return largestDifference(answer(), answer());
      };
      expect(answers({ modulationPercent: 0 })).toBeLessThan(1e-6); // what is left of the first after 256 ms
      expect(answers({ modulationPercent: 20, modulationHz: 1 })).toBeGreaterThan(0.01);
    });

    const brief = { highpassHz: 2000, lowpassHz: 2000 }; // filters that end soon

    const short = { ...flat, decaySeconds: 0.1, ...brief };
    const toEmptiness = new Float64Array(93 * 128);

    it('rings on until 44 decades below, then is empty, and answers as it did at first', () => {
      // 60 dB, three decades, in 0.1 s: 44 of them last 11 733 samples.
      const processor = reverb({ ...straight, ...small, ...short, earlyPercent: 0, modulationPercent: 0 }, one);
      const x = impulse(256);
      const [first] = render64(processor, [x]);
      const [ringing] = render64(processor, [new Float64Array(90 * 128)]);
      expect(peak(ringing.subarray(-128))).toBeGreaterThan(0);
      const [ended] = render64(processor, [new Float64Array(5 * 128)]);
      expect(peak(ended.subarray(-128))).toBe(0);
      expect(firstDifference(render64(processor, [x])[0], first)).toBe(-1);
    });

    it('comes back from emptiness with the same bits however the signal is cut', () => {
      const tiny = { lengthMetres: 1, widthMetres: 1, heightMetres: 1 }; // answers within a block of 128
      const answer = (cut: number) => {
        const processor = reverb({ ...straight, ...tiny, ...short, modulationPercent: 80, modulationHz: 5 }, one);
        render64(processor, [impulse(128)]);
        render64(processor, [toEmptiness]);
        const x = impulse(1024, 60);
        return [...render64(processor, [x.subarray(0, cut)])[0], ...render64(processor, [x.subarray(cut)])[0]];
      };
      const whole = answer(0);
      expect(peak(whole.slice(60, 128))).toBeGreaterThan(0);
      for (const cut of [1, 50]) expect(firstDifference(answer(cut), whole)).toBe(-1);
    });

    it('has the network behind the filters and allpasses', () => {
      const options = { ...straight, ...small, ...flat, decaySeconds: 0.5, earlyPercent: 0 } as const;
      const turning = { modulationPercent: 60, modulationHz: 3 };
      const x = noise(1024, 1);
      const [y] = render64(reverb({ ...options, ...turning, diffusionPercent: 0 }, one), [x]);
      // At 0 % the allpasses are delays.
      const sections = [
        highpass({ sampleRateHz: rate, frequencyHz: options.highpassHz }),
        lowpass({ sampleRateHz: rate, frequencyHz: options.lowpassHz }),
      ];
      const late = new Float64Array(1024);
      const { tailSamples } = new Diffuser(0, rate);
      late.set(render64(new BiquadCascade(one, sections), [x])[0].subarray(0, -tailSamples), tailSamples);
      const network = new FeedbackNetwork(networkDelays(8, small, rate), 1, rate);
      const decaysSeconds = Object.keys(flat).map(() => 0.5);
      const k = Float64Array.from(network.design({ decaysSeconds, modulationDepth: 0.6, modulationHz: 3 }));
      const expected = new Float64Array(1024);
      for (let at = 0; at < 1024; at += 128) {
        network.onGrid(k, 0);
        network.process([late.subarray(at, at + 128)], [expected.subarray(at, at + 128)], 128, k, 0);
      }
      expect(largestDifference(y, expected) / peak(expected)).toBeLessThan(1e-12);
    });

    it.each([{ decaySeconds: 2 }, { diffusionPercent: 30 }])('leaves the filters alone when set to %o', (change) => {
      const options = { ...straight, ...small, ...flat, earlyPercent: 100 };
      const x = noise(600, 1);
      const processor = reverb(options, one);
      const y = render64(processor, [x.subarray(0, 200)])[0];
      processor.set(change);
      const rest = render64(processor, [x.subarray(200)])[0];
      expect(firstDifference([...y, ...rest], play(options, x))).toBe(-1);
    });

    it('plays early reflections that come when the network is empty', () => {
      // Decays of 0.01 s are over in 1173 samples; walls of a hall of 30 m answer until later.
      const hall = { ...straight, ...brief, lengthMetres: 30, widthMetres: 30, heightMetres: 30, earlyPercent: 100 };
      const over = Object.fromEntries(Object.keys(flat).map((name) => [name, 10]));
      const x = impulse(2000);
      const y = play({ ...hall, ...over, decaySeconds: 0.1 }, x);
      expect(largestDifference(y, play({ ...hall, ...flat, decaySeconds: 1 }, x))).toBe(0);
      expect(peak(y.subarray(1300))).toBeGreaterThan(1e-3);
    });

    it('has a tail of its pre-delay, filters, allpasses, longest line, and twice the longest decay', () => {
      const options = { ...straight, ...flat, preDelayMs: 10, decaySeconds: 2 };
      const tail = (more: FeedbackReverbOptions) => reverb({ ...options, ...more }, one).tailSamples;
      const room = { lengthMetres: 9, widthMetres: 7, heightMetres: 4 };
      const filters = (highpassHz: number) =>
        new BiquadCascade(one, [
          highpass({ sampleRateHz: rate, frequencyHz: highpassHz }),
          lowpass({ sampleRateHz: rate, frequencyHz: straight.lowpassHz }),
        ]).tailSamples;
      const rest = new Diffuser(0, rate).tailSamples + Math.max(...networkDelays(8, room, rate));
      for (const highpassHz of [10, 1000]) {
        const due = 80 + filters(highpassHz) + rest + 2 * 2 * rate;
        expect(Math.abs(tail({ ...room, highpassHz }) - due)).toBeLessThanOrEqual(1); // a part of a sample counts whole
      }
    });

    it('takes as many channels as it has lines', () => {
      const format = { sampleRateHz: rate, channels: 8 };
      const x = Array.from({ length: 8 }, (_, c) => noise(300, c + 1));
      const y = render64(reverb({ ...straight, ...small }, format), x);
      expect(Math.min(...y.map(rms))).toBeGreaterThan(0);
    });
  });
});
