import { describe, expect, it } from 'vitest';
import { Bypass, bypassParameters } from '../../src/core/bypass.ts';
import { Chain } from '../../src/core/chain.ts';
import { Delay, delayParameters } from '../../src/core/delay.ts';
import { Gain, gainParameters } from '../../src/core/gain.ts';
import { Gate } from '../../src/dynamics/gate.ts';
import { MidSide, midSideParameters } from '../../src/core/mid-side.ts';
import { Polarity, polarityParameters } from '../../src/core/polarity.ts';
import { expectParts } from '../support/expect-parts.ts';
import { obeysProcessorLaws, render, render64 } from '../support/processor-laws.ts';
import { bursts, constant, firstDifference, largestDifference, noise, toFloat32 } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const GLIDE = 960; // 20 ms at 48 kHz

describe('Gain', () => {
  obeysProcessorLaws(stereo, { create: (o) => new Gain(stereo, o), table: gainParameters, lively: { gainDb: -6 } });

  it('multiplies by 10^(dB/20)', () => {
    const [y] = render64(new Gain(mono, { gainDb: -6 }), [constant(0.5, 4)]);
    expect(y[3]).toBeCloseTo(0.5 * 10 ** (-6 / 20), 15);
  });

  it('glides along a raised cosine in the linear domain, counted from the set', () => {
    const gain = new Gain(mono);
    render(gain, [constant(1, 100)]);
    gain.set({ gainDb: -20 });
    const [y] = render64(gain, [constant(1, GLIDE + 5)]);
    const expected = Float64Array.from({ length: GLIDE + 5 }, (_, i) => {
      const w = i + 1 >= GLIDE ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * (i + 1)) / GLIDE);
      return 1 + w * (0.1 - 1);
    });
    expect(largestDifference(y, expected)).toBeLessThan(1e-15);
  });

  it('glides on from where the first glide has got to', () => {
    const gain = new Gain(mono, { gainDb: 0 });
    gain.set({ gainDb: -120 });
    const [before] = render64(gain, [constant(1, 300)]);
    gain.set({ gainDb: 0 });
    const [after] = render64(gain, [constant(1, GLIDE)]);
    expect(Math.abs(after[0] - before[299])).toBeLessThan(1e-5);
    expect(after[GLIDE - 1]).toBe(1);
  });
});

describe('Polarity', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new Polarity(stereo, o),
    table: polarityParameters,
    lively: { inverted: true },
  });

  it('turns the signal upside down, exactly', () => {
    const x = noise(100);
    const [y] = render64(new Polarity(mono, { inverted: true }), [x]);
    expect(
      firstDifference(
        y,
        x.map((v) => -v),
      ),
    ).toBe(-1);
  });
});

describe('MidSide', () => {
  obeysProcessorLaws(stereo, { create: (o) => new MidSide(stereo, o), table: midSideParameters, lively: {} });

  it('encodes half the sum and half the difference, and decodes them back', () => {
    const input = [noise(500, 1), noise(500, 2)];
    const encoded = render64(new MidSide(stereo), input);
    expect(
      largestDifference(
        encoded[0],
        input[0].map((l, i) => (l + input[1][i]) / 2),
      ),
    ).toBe(0);
    expect(
      largestDifference(
        encoded[1],
        input[0].map((l, i) => (l - input[1][i]) / 2),
      ),
    ).toBe(0);
    const decoded = render64(new MidSide(stereo, { direction: 'decode' }), encoded);
    expect(Math.max(...decoded.map((y, c) => largestDifference(y, input[c])))).toBeLessThan(3e-16);
  });

  it('is for two channels only', () => {
    expect(() => new MidSide(mono)).toThrow('MidSide: channels must be 2 to 2, got 1');
  });
});

describe('Delay', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new Delay(stereo, o),
    table: delayParameters,
    lively: { delaySamples: 37, maximumSamples: 500 },
    arrange: (o) => {
      const maximumSamples = Math.min(o.maximumSamples ?? 3000, 20_000);
      return { maximumSamples, delaySamples: Math.min(o.delaySamples ?? 0, maximumSamples) };
    },
  });

  it('delays by whole samples, bit for bit', () => {
    const x = bursts(2000, 1);
    for (const delaySamples of [0, 1, 127, 128, 129, 700]) {
      const [y] = render64(new Delay(mono, { delaySamples }), [x]);
      expect(firstDifference(y.subarray(delaySamples), x.subarray(0, 2000 - delaySamples))).toBe(-1);
      expect(y.subarray(0, delaySamples).every((v) => v === 0)).toBe(true);
    }
  });

  it('cross-fades to a new delay over 20 ms', () => {
    const x = noise(3000, 4);
    const delay = new Delay(mono, { delaySamples: 10 });
    render64(delay, [x.subarray(0, 1000)]);
    delay.set({ delaySamples: 200 });
    const [y] = render64(delay, [x.subarray(1000)]);
    const expected = y.map((_, i) => {
      const w = i + 1 >= GLIDE ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * (i + 1)) / GLIDE);
      return x[1000 + i - 10] + w * (x[1000 + i - 200] - x[1000 + i - 10]);
    });
    expect(largestDifference(y, expected)).toBeLessThan(1e-15);
  });

  it('lets a running cross-fade end, then fades to the latest delay', () => {
    const x = noise(6000, 9);
    const delay = new Delay(mono, { delaySamples: 10 });
    delay.set({ delaySamples: 200 });
    render64(delay, [x.subarray(0, 100)]);
    delay.set({ delaySamples: 77 }); // forgotten: the next one is later
    delay.set({ delaySamples: 300 });
    const [y] = render64(delay, [x.subarray(100)]);
    expect(firstDifference(y.subarray(2 * GLIDE), x.subarray(100 + 2 * GLIDE - 300, 5700))).toBe(-1);
    expect(largestDifference(y.subarray(GLIDE - 101, GLIDE - 100), x.subarray(GLIDE - 201, GLIDE - 200))).toBe(0);
  });

  it('refuses a delay it holds no memory for', () => {
    expect(() => new Delay(mono, { delaySamples: 101, maximumSamples: 100 })).toThrow(
      'Delay: delaySamples must be 0 to 100 (maximumSamples), got 101',
    );
  });
});

describe('Bypass', () => {
  // The only processor at hand with a key or a latency of its own is tested with the dynamics; here, one with state.
  obeysProcessorLaws(stereo, {
    create: (o) => new Bypass(new Delay(stereo, { delaySamples: 50 }), o),
    table: bypassParameters,
    lively: { bypassed: true },
  });

  it('is the processor itself while switched in, and its input while switched out', () => {
    const x = noise(500);
    expect(
      firstDifference(
        render64(new Bypass(new Gain(mono, { gainDb: 6 })), [x])[0],
        render64(new Gain(mono, { gainDb: 6 }), [x])[0],
      ),
    ).toBe(-1);
    expect(firstDifference(render64(new Bypass(new Gain(mono, { gainDb: 6 }), { bypassed: true }), [x])[0], x)).toBe(
      -1,
    );
  });

  it('keeps the processor running while it is out', () => {
    const x = noise(4000, 8);
    const bypass = new Bypass(new Delay(mono, { delaySamples: 300 }), { bypassed: true });
    render64(bypass, [x.subarray(0, 1000)]);
    bypass.set({ bypassed: false });
    const [y] = render64(bypass, [x.subarray(1000)]);
    expect(firstDifference(y.subarray(GLIDE), x.subarray(1000 + GLIDE - 300, 3700))).toBe(-1);
  });
});

describe('Bypass of a processor that listens', () => {
  const options = { thresholdDb: -20, attackMs: 0, releaseMs: 0, holdMs: 0, rangeDb: 40 };
  const key = [new Float64Array(400).fill(1, 100, 200)];
  const run = (processor: Gate | Bypass, withKey: boolean) => {
    const y = [new Float64Array(400)];
    const trace = { levelDb: [new Float64Array(400)], gainDb: [new Float64Array(400)] };
    processor.process([noise(400, 3, 0.01)], y, { trace, ...(withKey && { key }) });
    return { y, ...trace };
  };

  it.each([true, false])('hands key and trace through; with a key: %s', (withKey) => {
    expect(run(new Bypass(new Gate(mono, options)), withKey)).toEqual(run(new Gate(mono, options), withKey));
    const out = run(new Bypass(new Gate(mono, options), { bypassed: true }), withKey);
    expect(out.gainDb).toEqual(run(new Gate(mono, options), withKey).gainDb);
    expect(out.y).toEqual([noise(400, 3, 0.01)]);
  });

  it('hears no key that has gone', () => {
    const bypass = new Bypass(new Gate(mono, options));
    run(bypass, true);
    bypass.reset();
    expect(run(bypass, false)).toEqual(run(new Gate(mono, options), false));
  });

  it('guards the key, counts what it refused, and takes none where the processor takes none', () => {
    const bypass = new Bypass(new Gate(mono, options));
    const x = [new Float64Array(4)];
    bypass.process(x, x, { key: [Float64Array.of(1, NaN, 1e9, 0)] });
    expect(bypass.nonFiniteInputs).toBe(2);
    expect(bypass.takesKey).toBe(true);
    expect(() => bypass.process(x, x, { key: [new Float64Array(3)] })).toThrow(
      'Bypass: key[0].length must be 4, got 3',
    );
    const deaf = new Bypass(new Gain(mono));
    expect(deaf.takesKey).toBe(false);
    expect(() => deaf.process(x, x, { key: x })).toThrow(new TypeError('Bypass: takes no key'));
  });
});

describe('what every processor says and refuses', () => {
  it('of a part of a block: whole numbers in order within it', () => {
    const gain = new Gain(mono, { gainDb: -6 });
    expectParts('Gain', (start, end) => {
      gain.process([new Float64Array(8)], [new Float64Array(8)], { start, end });
    });
  });

  it('of a block: which side is wrong', () => {
    const [one, two] = [[new Float64Array(8)], [new Float64Array(8), new Float64Array(8)]];
    expect(() => new Gain(mono).process(two, one)).toThrow('Gain: input must have 1 channels, got 2');
    expect(() => new Chain(mono, []).process(two, two)).toThrow('Chain: input must have 1 channels, got 2');
    expect(() => new Gain(mono).process(one, two)).toThrow('Gain: output must have 1 channels, got 2');
  });

  it('has no tail, takes no key and has no parameters unless it says so', () => {
    const chain = new Chain(mono, []);
    expect([chain.takesKey, chain.tailSamples, chain.values]).toEqual([false, 0, {}]);
    expect([new Gain(mono).takesKey, new Gain(mono).tailSamples]).toEqual([false, 0]);
  });

  it('of options: an object, of known names and right kinds', () => {
    const attempt = (options: unknown) => () => new Gain(mono, options as object);
    expect(attempt(null)).toThrow(new TypeError('Gain: options must be an object, got null'));
    expect(attempt(5)).toThrow(new TypeError('Gain: options must be an object, got 5'));
    expect(() => new Polarity(mono, { inverted: 1 } as never)).toThrow('Polarity: inverted must be a boolean, got 1');
    expect(() => new MidSide(stereo, { direction: 'both' } as never)).toThrow(/ must be encode or decode, got "both"$/);
    expect(() => new Delay(mono, { maximumSamples: 5 }).set({ maximumSamples: undefined })).not.toThrow();
  });
});

describe('Chain', () => {
  const make = () =>
    new Chain(stereo, [
      new Gain(stereo, { gainDb: -3 }),
      new Delay(stereo, { delaySamples: 60 }),
      new Polarity(stereo),
    ]);
  obeysProcessorLaws(stereo, { create: () => make(), table: {}, lively: {} });

  it('runs its processors in series without rounding between them', () => {
    const input = [toFloat32(noise(700, 1)), toFloat32(noise(700, 2))];
    const chained = render64(make(), input);
    let step: readonly Float64Array[] = input.map((x) => Float64Array.from(x));
    for (const one of [new Gain(stereo, { gainDb: -3 }), new Delay(stereo, { delaySamples: 60 })])
      step = render64(one, step);
    expect(firstDifference(chained[0], step[0])).toBe(-1);
  });

  it('sums latency and tail', () => {
    expect(make().latencySamples).toBe(0);
    expect(make().tailSamples).toBe(60);
  });

  it('sets a processor by its position, and refuses a set without changing any', () => {
    const chain = make();
    expect(() => chain.set({ 0: { gainDb: 6 }, 1: { delaySamples: -1 } })).toThrow(RangeError);
    expect(() => chain.set({ 7: {} })).toThrow('Chain: processor must be 0 to 2, got 7');
    for (const name of ['a', '1a', 'a1', '-1', '1.0', '']) {
      expect(() => chain.set({ [name]: {} })).toThrow(`Chain: processors are named by their position, got ${name}`);
    }
    const input = [noise(3000, 1), noise(3000, 2)];
    expect(firstDifference(render64(chain, input)[0], render64(make(), input)[0])).toBe(-1);
    chain.reset();
    chain.set({ 0: { gainDb: 6 } });
    chain.reset();
    const [y] = render64(chain, input);
    expect(y[100]).toBeCloseTo(input[0][40] * 10 ** (6 / 20), 14);
  });

  it('lets options wait for the latency before their processor: they come with the samples of the call', () => {
    const gate = new Gate(mono, { lookaheadMs: 5, thresholdDb: -120, attackMs: 0 }); // 240 samples late, always open
    const chain = new Chain(mono, [gate, new Gain(mono)]);
    render64(chain, [constant(1, 1000)]);
    chain.set({ 1: { gainDb: -120 } });
    const [y] = render64(chain, [constant(1, 2000)]);
    expect([y[0], y[239]]).toEqual([1, 1]);
    expect(y[240]).toBeLessThan(1);
    expect(y[240 + GLIDE - 1]).toBeCloseTo(1e-6, 12);
  });

  it('sets in the order in which options arrive, not in which they were given', () => {
    const late = () => new Gate(mono, { lookaheadMs: 5, thresholdDb: -120, attackMs: 0 }); // 240 samples late
    const chain = new Chain(mono, [new Gain(mono), late(), new Gain(mono)]);
    render64(chain, [constant(1, 1000)]);
    chain.set({ 2: { gainDb: -120 } });
    chain.set({ 0: { gainDb: 6 } });
    expect(chain.pending.map(({ index, inSamples }) => [index, inSamples])).toEqual([
      [0, 0],
      [2, 240],
    ]);
  });

  it('has more than ten processors, named by all their digits', () => {
    const chain = new Chain(
      mono,
      Array.from({ length: 12 }, () => new Gain(mono)),
    );
    chain.set({ 11: { gainDb: -20 } });
    chain.reset();
    expect(render64(chain, [constant(1, 3)])[0][2]).toBeCloseTo(0.1, 12);
  });

  it('does not guard between its processors', () => {
    const chain = new Chain(mono, [
      new Gain(mono, { gainDb: 60 }),
      new Gain(mono, { gainDb: 60 }),
      new Gain(mono, { gainDb: -120 }),
    ]);
    const [y] = render64(chain, [constant(3, 10)]);
    expect(y[9]).toBeCloseTo(3, 12);
  });

  const keyed = () =>
    new Chain(
      stereo,
      [new Delay(stereo, { delaySamples: 60 }), new Gate(stereo, { lookaheadMs: 1 }), new Gate(stereo, { holdMs: 1 })],
      { channels: 3, listeners: [2] },
    );
  obeysProcessorLaws(stereo, { create: keyed, table: {}, lively: {}, takesKey: true, keyChannels: [3] });

  it('hands its key to listeners only, late by the latency before them', () => {
    const always = { lookaheadMs: 5, thresholdDb: -120, attackMs: 0 }; // 240 samples late, always open
    const gate = new Gate(mono, { thresholdDb: -20, attackMs: 0, releaseMs: 0, holdMs: 0, rangeDb: 120 });
    const chain = new Chain(mono, [new Gate(mono, always), gate], { channels: 1, listeners: [1] });
    const key = new Float64Array(1000).fill(1, 300, 400);
    const [y] = render64(chain, [constant(1, 1000)], [key]);
    const open = y.map((v, i) => (v > 0.5 ? i : -1)).filter((i) => i >= 0);
    expect([open[0], open.at(-1)]).toEqual([540, 639]);
  });

  it('takes silence for a key that has gone', () => {
    const gate = new Gate(mono, { rangeDb: 120, attackMs: 0, holdMs: 0, releaseMs: 0 });
    const chain = new Chain(mono, [gate], { channels: 1, listeners: [0] });
    expect(render64(chain, [constant(1, 128)], [constant(1, 128)])[0][127]).toBe(1);
    expect(Math.max(...render64(chain, [constant(1, 128)])[0])).toBeLessThan(1e-5);
  });

  it('takes silence for a key that is not there', () => {
    const chain = new Chain(mono, [new Gate(mono, { rangeDb: 120 })], { channels: 1, listeners: [0] });
    expect(Math.max(...render64(chain, [constant(1, 500)])[0])).toBeLessThan(1e-5);
  });

  it('refuses listeners that take no key, and a key of other channels than it was made for', () => {
    expect(() => new Chain(mono, [new Gain(mono)], { channels: 1, listeners: [0] })).toThrow(
      'Chain: processor 0 takes no key',
    );
    const x = [constant(1, 10), constant(1, 10)];
    expect(() => keyed().process(x, x, { key: x })).toThrow('Chain: key must be of 3 channels, got 2');
  });

  it('refuses a processor of another format', () => {
    expect(() => new Chain(stereo, [new Gain(mono)])).toThrow(
      'Chain: processor 0 must have 2 channels at 48000 Hz, got 1 at 48000 Hz',
    );
    expect(() => new Chain(mono, [new Gain({ sampleRateHz: 96000, channels: 1 })])).toThrow(
      'Chain: processor 0 must have 1 channels at 48000 Hz, got 1 at 96000 Hz',
    );
  });
});
