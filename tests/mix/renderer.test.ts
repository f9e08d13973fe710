import { describe, expect, it } from 'vitest';
import { RealFft } from '../../src/core/fft.ts';
import { constant, firstDifference, impulse, largestDifference, noise } from '../support/signals.ts';
import { mix, RATE, recording } from './mix-support.ts';

const one = { a: { file: 'a.wav' } };
/** One channel, hard left, so that its samples come out as they are. */
const left = (more: object = {}) => ({ input: 'a', pan: -1, ...more });

describe('renderMix', () => {
  it('passes an input bit for bit, at the length of the input', () => {
    const x = noise(5000);
    const { left: y, right, report } = mix({ inputs: one, channels: { ch: left() } }, { a: recording(x) });
    expect(firstDifference(y, x)).toBe(-1);
    expect(largestDifference(right, new Float64Array(5000))).toBe(0);
    expect(report).toMatchObject({ frames: 5000, latencySamples: 0, tailSamples: 0, tailCut: false });
  });

  it('lines up a path with a look-ahead with one without, sample for sample', () => {
    const x = noise(4000, 2, 0.5);
    const { left: y, report } = mix(
      {
        inputs: one,
        channels: {
          dry: left({ output: 'sum' }),
          late: left({ output: 'sum', chain: [{ type: 'gate', thresholdDb: -120, attackMs: 0, lookaheadMs: 3 }] }),
        },
        buses: { sum: {} },
      },
      { a: recording(x) },
    );
    expect(report.latencySamples).toBe(144);
    expect(
      firstDifference(
        y,
        x.map((v) => 2 * v),
      ),
    ).toBe(-1);
  });

  it('is bit-exact for the sum of two chains of delay', () => {
    const x = noise(3000, 3);
    const chain = [
      { type: 'delay', delaySamples: 100 },
      { type: 'delay', delaySamples: 57 },
    ];
    const { left: y } = mix({ inputs: one, channels: { p: left({ chain }), q: left({ chain }) } }, { a: recording(x) });
    expect(
      firstDifference(
        y.subarray(157),
        x.map((v) => 2 * v),
      ),
    ).toBe(-1);
    expect(y.subarray(0, 157).every((v) => v === 0)).toBe(true);
  });

  it('parallel limiter and 8x soft clipper far below their ceilings never comb: +6.02 dB in every third-octave', () => {
    const size = 1 << 17;
    const x = noise(size, 4, 1e-3);
    const { left: y } = mix(
      {
        inputs: one,
        channels: {
          dry: left(),
          wet: left({ chain: [{ type: 'limiter' }, { type: 'softClipper', oversampling: 8 }] }),
        },
      },
      { a: recording(x) },
    );
    const spectrum = (signal: Float64Array) => {
      const re = new Float64Array(size / 2 + 1),
        im = new Float64Array(size / 2 + 1);
      new RealFft(size).forward(signal.subarray(0, size), re, im);
      return { re, im };
    };
    const sum = spectrum(y),
      dry = spectrum(x);
    let error = 0,
      total = 0;
    const end = Math.floor((18_000 / RATE) * size);
    for (let k = 1; k < end; k++) {
      error += (sum.re[k] - 2 * dry.re[k]) ** 2 + (sum.im[k] - 2 * dry.im[k]) ** 2;
      total += 4 * (dry.re[k] ** 2 + dry.im[k] ** 2);
    }
    expect(10 * Math.log10(error / total)).toBeLessThan(-60);
    // Third-octaves of IEC 61260-1: middles 1000 * 10^(n/10), edges 10^(+-0.05) away.
    let worst = 0;
    for (let n = -17; n <= 12; n++) {
      const middle = 1000 * 10 ** (n / 10);
      let mixed = 0,
        alone = 0;
      for (let k = Math.ceil((middle * 10 ** -0.05 * size) / RATE); k < (middle * 10 ** 0.05 * size) / RATE; k++) {
        mixed += sum.re[k] ** 2 + sum.im[k] ** 2;
        alone += dry.re[k] ** 2 + dry.im[k] ** 2;
      }
      worst = Math.max(worst, Math.abs(10 * Math.log10(mixed / alone) - 20 * Math.log10(2)));
    }
    expect(worst).toBeLessThan(0.02);
  });

  it('does not depend on the size of the chunks', () => {
    const inputs = { a: recording(noise(20_000, 5, 0.5)), b: recording(noise(15_000, 6, 0.5), noise(15_000, 7, 0.5)) };
    const plan = {
      inputs: { ...one, b: { file: 'b.wav' } },
      channels: {
        kick: {
          input: 'a',
          chain: [{ type: 'gate', thresholdDb: -10, lookaheadMs: 1 }],
          sends: [{ to: 'space', gainDb: -6 }],
        },
        pair: {
          input: 'b',
          widthPercent: 150,
          pan: 0.3,
          output: 'bus',
          chain: [
            { type: 'equaliser', bands: [{ type: 'peaking', frequencyHz: 3000, gainDb: 4 }] },
            { type: 'compressor', thresholdDb: -20, key: 'kick', keyFilter: [{ type: 'highpass', frequencyHz: 100 }] },
          ],
        },
      },
      buses: {
        bus: { chain: [{ type: 'softClipper', driveDb: 6, oversampling: 2, bypassed: false }] },
        space: { chain: [{ type: 'schroederReverb', decaySeconds: 0.2, decayHighSeconds: 0.1 }] },
      },
      mixBus: { chain: [{ type: 'limiter', ceilingDb: -6 }], gainDb: -1 },
      automation: [
        { target: 'channels.kick.gainDb', sample: 1234, value: -12 },
        { target: 'channels.pair.chain[0].bands[0].gainDb', sample: 5001, value: -9 },
        { target: 'channels.pair.chain[1].thresholdDb', sample: 5001, value: -30 },
        { target: 'channels.kick.sends[0].gainDb', sample: 7777, value: 3 },
        { target: 'buses.bus.chain[0].bypassed', sample: 9000, value: true },
        { target: 'channels.pair.pan', sample: 11_000, value: -1 },
        { target: 'mixBus.gainDb', sample: 16_000, value: -3 },
      ],
    };
    const whole = mix(plan, inputs, { chunkFrames: 48_000 });
    for (const chunkFrames of [64, 1000]) {
      const cut = mix(plan, inputs, { chunkFrames });
      expect(firstDifference(cut.left, whole.left)).toBe(-1);
      expect(firstDifference(cut.right, whole.right)).toBe(-1);
      expect(cut.report).toEqual(whole.report);
    }
    expect(whole.report.peakDb).toBeGreaterThan(-20);
  });

  it('applies automation at its sample of the inputs, whatever latency lies before it', () => {
    const x = constant(0.5, 6000);
    const chain = [{ type: 'gate', thresholdDb: -120, attackMs: 0, lookaheadMs: 4 }, { type: 'gain' }];
    const event = (target: string) => [{ target, sample: 3000, value: -120 }];
    for (const target of ['channels.ch.chain[1].gainDb', 'channels.ch.gainDb', 'mixBus.gainDb']) {
      const { left: y } = mix(
        { inputs: one, channels: { ch: left({ chain }) }, automation: event(target) },
        { a: recording(x) },
      );
      expect(y[2999]).toBe(0.5);
      expect(y[3000]).toBeLessThan(0.5);
      expect(y[3000]).toBeGreaterThan(0.4999); // the first step of a 20 ms raised cosine
      expect(y[3959]).toBeCloseTo(0.5e-6, 12);
    }
  });

  it('lets a block hear a key at the same moment, its latency included', () => {
    // The key's chain is 5 ms late; the gate it opens must still open at the sample of the hit.
    const hit = impulse(4000, 1000);
    const { left: y, report } = mix(
      {
        inputs: { a: { file: 'a.wav' }, b: { file: 'b.wav' } },
        channels: {
          trigger: {
            input: 'b',
            gainDb: -120,
            pan: 1,
            chain: [{ type: 'gate', lookaheadMs: 5, attackMs: 0, thresholdDb: -20 }],
          },
          gated: left({
            chain: [{ type: 'gate', attackMs: 0, releaseMs: 0, holdMs: 10, rangeDb: 120, key: 'trigger' }],
          }),
        },
      },
      { a: recording(constant(1, 4000)), b: recording(hit) },
    );
    expect(report.strips['channels.gated'].startSamples).toBe(240);
    expect(y[999]).toBeCloseTo(1e-6, 9);
    expect(y[1000]).toBe(1);
    expect(y[1480]).toBe(1);
    expect(y[1481]).toBeCloseTo(1e-6, 9);
  });

  it('delays a key that is early: blocks before the one that listens take time, too', () => {
    const late = { type: 'gate', lookaheadMs: 5, attackMs: 0, thresholdDb: -120 };
    const listening = { type: 'gate', attackMs: 0, releaseMs: 0, holdMs: 10, rangeDb: 120, key: 'trigger' };
    const { left: y } = mix(
      {
        inputs: { a: { file: 'a.wav' }, b: { file: 'b.wav' } },
        channels: { trigger: { input: 'b', gainDb: -120, pan: 1 }, gated: left({ chain: [late, listening] }) },
      },
      { a: recording(constant(1, 4000)), b: recording(impulse(4000, 1000)) },
    );
    expect(y[999]).toBeCloseTo(1e-6, 9);
    expect([y[1000], y[1480]]).toEqual([1, 1]);
    expect(y[1481]).toBeCloseTo(1e-6, 9);
  });

  it('taps a send before or after the fader', () => {
    const plan = (tap: string) => ({
      inputs: one,
      channels: { ch: left({ gainDb: -120, output: 'nowhere', sends: [{ to: 'bus', gainDb: -6, tap }] }) },
      buses: { bus: {}, nowhere: { gainDb: -120 } },
    });
    const inputs = { a: recording(constant(1, 100)) };
    expect(mix(plan('preFader'), inputs).left[50]).toBeCloseTo(10 ** (-6 / 20), 9);
    expect(mix(plan('postFader'), inputs).left[50]).toBeLessThan(2e-6);
  });

  it('renders tails to their end, and cuts one that never ends', () => {
    const x = impulse(100);
    const reverb = { type: 'schroederReverb', decaySeconds: 0.3, decayHighSeconds: 0.2, preDelayMs: 10 };
    const { left: y, report } = mix({ inputs: one, channels: { ch: left({ chain: [reverb] }) } }, { a: recording(x) });
    expect(report.frames).toBe(100 + report.tailSamples);
    expect(report.tailSamples).toBeGreaterThan(0.3 * RATE);
    const loudest = y.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
    expect(Math.abs(y[y.length - 1])).toBeLessThan(1e-5 * loudest);
    expect(loudest).toBeGreaterThan(0.001);
  });

  it('renders the longest tail that automation asks for: nothing is lost', () => {
    const x = noise(2000, 8);
    const delay = [{ type: 'delay' }];
    const { left: y, report } = mix(
      {
        inputs: one,
        channels: { ch: left({ chain: delay }) },
        automation: [{ target: 'channels.ch.chain[0].delaySamples', sample: 0, value: 5000 }],
      },
      { a: recording(x) },
    );
    expect(report).toMatchObject({ frames: 7000, tailSamples: 5000 });
    expect(firstDifference(y.subarray(5000), x)).toBe(-1);

    // A value that only passes by counts too: what was longest before it became short again.
    const passing = [5000, 100].map((value, i) => ({
      target: 'channels.ch.chain[0].delaySamples',
      sample: 1000 * i,
      value,
    }));
    const again = mix(
      { inputs: one, channels: { ch: left({ chain: delay }) }, automation: passing },
      { a: recording(x) },
    );
    expect(again.report.tailSamples).toBe(5000);
  });

  it('renders a reverberation that automation makes longer to its end', () => {
    const decay = { type: 'schroederReverb', decaySeconds: 0.3, decayHighSeconds: 0.2 };
    const render = (block: object, automation: object[] = []) =>
      mix({ inputs: one, channels: { ch: left({ chain: [block] }) }, automation }, { a: recording(impulse(100)) });
    const target = 'channels.ch.chain[0].decaySeconds';
    const longer = render(decay, [{ target, sample: 10, value: 0.9 }]);
    expect(longer.report.tailSamples).toBe(render({ ...decay, decaySeconds: 0.9 }).report.tailSamples);
    expect(longer.report.tailSamples).toBeGreaterThan(0.9 * RATE);
    const ends = (y: Float64Array) => y.subarray(-100).reduce((m, v) => Math.max(m, Math.abs(v)), 0);
    const loudest = longer.left.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
    expect(ends(longer.left)).toBeLessThan(1e-5 * loudest);
    expect(loudest).toBeGreaterThan(0.001);
  });

  it('runs a bus by the name of output like any other', () => {
    const x = noise(500, 9);
    const { left: y } = mix(
      { inputs: one, channels: { ch: left({ output: 'output' }) }, buses: { output: { gainDb: -120 } } },
      { a: recording(x) },
    );
    expect(largestDifference(y, new Float64Array(500))).toBeLessThan(1e-5);
  });

  it('counts input samples that are no usable numbers as silence', () => {
    const x = noise(500);
    x[7] = NaN;
    x[9] = 1e7;
    const { left: y, report } = mix({ inputs: one, channels: { ch: left() } }, { a: recording(x) });
    expect(report.nonFiniteInputs).toBe(2);
    expect([y[7], y[9], y[8]]).toEqual([0, 0, x[8]]);
    // Once for each input, however many channels run it.
    const twice = mix({ inputs: one, channels: { p: left(), q: left() } }, { a: recording(x) });
    expect(twice.report.nonFiniteInputs).toBe(2);
    const both = mix(
      { inputs: { ...one, b: { file: 'b.wav' } }, channels: { p: left(), q: left({ input: 'b' }) } },
      { a: recording(x), b: recording(x) },
    );
    expect(both.report.nonFiniteInputs).toBe(4);
  });

  it('refuses inputs that do not fit the plan', () => {
    const plan = { inputs: { a: { file: 'a.wav', channel: 1 } }, channels: { ch: { input: 'a' } } };
    expect(() => mix(plan, { a: recording(noise(10)) })).toThrow('inputs.a.channel must be 0 to 0, got 1');
    expect(() => mix(plan, {})).toThrow('inputs.a must have a source');
    const wide = { ...recording(noise(10)), channels: 65 };
    expect(() => mix(plan, { a: wide })).toThrow('inputs.a: channels of the file must be 1 to 64, got 65');
    const slowest = { ...recording(noise(10)), sampleRateHz: 4000 };
    expect(() => mix({ ...plan, inputs: one }, { a: slowest })).toThrow(
      'inputs.a: sampleRateHz must be 8000 to 384000, got 4000',
    );
    const two = {
      inputs: { a: { file: 'a' }, b: { file: 'b' } },
      channels: { ch: { input: 'a' }, other: { input: 'b' } },
    };
    const slow = { ...recording(noise(10)), sampleRateHz: 44100 };
    expect(() => mix(two, { a: recording(noise(10)), b: slow })).toThrow(
      'inputs.b: the file must have 48000 Hz, as the input of the first channel has, got 44100 Hz',
    );
    const high = {
      inputs: one,
      channels: { ch: left({ chain: [{ type: 'equaliser', bands: [{ frequencyHz: 30_000 }] }] }) },
    };
    expect(() => mix(high, { a: recording(noise(10)) })).toThrow(
      'channels.ch.chain[0].bands[0].frequencyHz must be 10 to 23520, got 30000',
    );
  });
});
