import { describe, expect, it } from 'vitest';
import { Gain } from '../../src/core/gain.ts';
import { paramDescriptors, parameterValue } from '../../src/worklet/block-params.ts';
import { ChainRunner } from '../../src/worklet/chain-runner.ts';
import type { ChainSettings } from '../../src/worklet/messages.ts';
import { meterLength, readMeterValues, SharedMeters } from '../../src/worklet/meter-layout.ts';
import { compressorParameters } from '../../src/dynamics/compressor.ts';
import { gateParameters } from '../../src/dynamics/gate.ts';
import { render } from '../support/processor-laws.ts';
import { firstDifference, noise, toFloat32 } from '../support/signals.ts';

const RATE = 48000;
const settings = (chain: ChainSettings['chain'], more: Partial<ChainSettings> = {}): ChainSettings => ({
  chain,
  channels: 1,
  keyChannels: 1,
  automation: [],
  ...more,
});

/** Runs the signal quantum by quantum, as an audio thread does. */
function play(runner: ChainRunner, x: Float32Array, quantum = 128, key?: Float32Array): Float32Array {
  const y = new Float32Array(x.length);
  for (let frame = 0; frame < x.length; frame += quantum) {
    const part = (signal: Float32Array) => [signal.subarray(frame, frame + quantum)];
    runner.run(part(x), part(y), key ? part(key) : [], frame);
  }
  return y;
}

describe('chain runner', () => {
  const x = toFloat32(noise(128 * 40));
  const gain = (): Gain => new Gain({ sampleRateHz: RATE, channels: 1 });

  it('sets a block at exactly the frame, inside a quantum, for any quantum', () => {
    const expected = x.slice();
    const plain = gain();
    plain.process([x], [expected], { start: 0, end: 1001 });
    plain.set({ gainDb: -20 });
    plain.process([x], [expected], { start: 1001, end: x.length });
    for (const quantum of [128, 64, 256, 1280]) {
      const runner = new ChainRunner(settings([{ type: 'gain' }]), RATE);
      runner.setAt(0, { gainDb: -20 }, 1001);
      expect(firstDifference(play(runner, x, quantum), expected)).toBe(-1);
    }
  });

  it('takes automation and messages alike, in the order of their frames', () => {
    const early = { block: 0, options: { gainDb: -6 }, frame: 300 };
    const late = { block: 0, options: { gainDb: 6 }, frame: 2500 };
    const given = new ChainRunner(settings([{ type: 'gain' }], { automation: [late, early] }), RATE);
    const told = new ChainRunner(settings([{ type: 'gain' }]), RATE);
    told.setAt(0, early.options, early.frame);
    told.setAt(0, late.options, late.frame);
    const y = play(given, x);
    expect(firstDifference(y, play(told, x))).toBe(-1);
    expect(y[1500] / x[1500]).toBeCloseTo(10 ** (-6 / 20), 6);
    expect(y[5000] / x[5000]).toBeCloseTo(10 ** (6 / 20), 6);
  });

  it('sets at once what is late', () => {
    const runner = new ChainRunner(settings([{ type: 'polarity' }]), RATE);
    runner.setAt(0, { inverted: true }, -5);
    expect(play(runner, x)[4000]).toBe(-x[4000]);
  });

  it('refuses with the path, and changes nothing', () => {
    expect(() => new ChainRunner(settings([{ type: 'gain', gainDb: 'loud' }]), RATE)).toThrow('chain[0].gainDb');
    const runner = new ChainRunner(settings([{ type: 'gain' }]), RATE);
    expect(() => runner.setAt(0, { gainDb: 1000 }, 0)).toThrow('gainDb must be -120 to 60, got 1000');
    expect(() => runner.setAt(3, {}, 0)).toThrow('Chain: processor must be 0 to 0, got 3');
    expect(() => runner.setAt(0, { bypassed: true }, 0)).toThrow(
      'bypassed can be set on a block that was made with it only',
    );
    expect(firstDifference(play(runner, x), render(gain(), [x])[0])).toBe(-1);
  });

  it('switches a block out and in', () => {
    const runner = new ChainRunner(settings([{ type: 'gain', gainDb: -60, bypassed: false }]), RATE);
    runner.setAt(0, { bypassed: true }, 128);
    expect(play(runner, x)[5000]).toBe(x[5000]);
  });

  it('lets every block that names a key hear the second input, and silence where there is none', () => {
    const chain = [{ type: 'gate', key: 'kick', rangeDb: 120, thresholdDb: -20, attackMs: 0 }];
    const key = new Float32Array(x.length).fill(1, 1000, 1100);
    const y = play(new ChainRunner(settings(chain), RATE), x, 128, key);
    expect(y[1050]).toBe(x[1050]);
    expect(Math.abs(y[500])).toBeLessThan(1e-5);
    expect(Math.max(...play(new ChainRunner(settings(chain), RATE), x).map(Math.abs))).toBeLessThan(1e-5);
  });

  it('meters peaks, the level a detector saw and the gain it gave', () => {
    const chain = [
      { type: 'gain', gainDb: 6 },
      { type: 'compressor', thresholdDb: -20, ratio: 4, attackMs: 0 },
    ];
    const runner = new ChainRunner(settings(chain, { meters: { everyFrames: 128 } }), RATE);
    play(runner, new Float32Array(12_800).fill(0.25));
    const { frame, peakIn, peakOut, blocks } = readMeterValues(runner.meters);
    const levelDb = 20 * Math.log10(0.25) + 6;
    expect([frame, peakIn]).toEqual([12_800, 0.25]);
    expect(blocks[0]).toEqual({ levelDb: -200, gainDb: 0 });
    expect(blocks[1].levelDb).toBeCloseTo(levelDb, 5);
    expect(blocks[1].gainDb).toBeCloseTo(0.75 * (-20 - levelDb), 5);
    expect(peakOut).toBeLessThanOrEqual(0.25 * 10 ** (6 / 20));
  });
});

describe('shared meters', () => {
  it('give nothing before the first values, then the newest', () => {
    const memory = new SharedArrayBuffer(SharedMeters.bytes(meterLength(1)));
    const writer = new SharedMeters(memory),
      reader = new SharedMeters(memory);
    const into = new Float64Array(5);
    expect(reader.read(into)).toBe(false);
    writer.write(Float64Array.of(1, 2, 3, 4, 5));
    writer.write(Float64Array.of(9, 8, 7, 6, 5));
    expect(reader.read(into)).toBe(true);
    expect([...into]).toEqual([9, 8, 7, 6, 5]);
  });

  it('do not hand over values that are being written', () => {
    const memory = new SharedArrayBuffer(SharedMeters.bytes(meterLength(1)));
    new SharedMeters(memory).write(Float64Array.of(1, 2, 3, 4, 5));
    Atomics.add(new Int32Array(memory, 0, 1), 0, 1); // a writer that has begun
    expect(new SharedMeters(memory).read(new Float64Array(5))).toBe(false);
  });
});

describe('AudioParams of a table', () => {
  it('are its numbers and switches that may change, with its ranges', () => {
    const names = paramDescriptors(compressorParameters, RATE).map(({ name }) => name);
    expect(names).toContain('thresholdDb');
    expect(names).not.toContain('lookaheadMs'); // fixed
    expect(names).not.toContain('detector'); // a choice
    expect(paramDescriptors(gateParameters, RATE)[0]).toEqual({
      name: 'thresholdDb',
      defaultValue: -40,
      minValue: -120,
      maxValue: 0,
      automationRate: 'k-rate',
    });
  });

  it('stay within the row although float32 misses its ends', () => {
    const row = { default: 0.5, min: 0.1, max: 0.7 };
    expect(parameterValue(row, Math.fround(0.1), RATE)).toBeGreaterThanOrEqual(0.1);
    expect(parameterValue(row, Math.fround(0.7), RATE)).toBeLessThanOrEqual(0.7);
    expect(parameterValue({ default: 2, min: 1, max: 5, integer: true }, 2.7, RATE)).toBe(3);
    expect([0.49, 0.5].map((v) => parameterValue({ default: false }, v, RATE))).toEqual([false, true]);
  });
});
