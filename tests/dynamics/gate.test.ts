import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Gate, gateParameters } from '../../src/dynamics/gate.ts';
import gateState from '../vectors/gate_state.json';
import { dbToGain } from '../../src/core/decibels.ts';
import { Gain } from '../../src/core/gain.ts';
import { anyParameters, obeysProcessorLaws, render, render64 } from '../support/processor-laws.ts';
import { bursts, constant, firstDifference, impulse, noise } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const lively = { thresholdDb: -12, attackMs: 0.1, holdMs: 0.1, releaseMs: 1, lookaheadMs: 0.3, linkPercent: 50 };

describe('Gate', () => {
  obeysProcessorLaws(stereo, { create: (o) => new Gate(stereo, o), table: gateParameters, lively, takesKey: true });

  describe('with a key filter', () => {
    obeysProcessorLaws(mono, {
      create: (o) => new Gate(mono, o, { keyFilter: new Gain(mono, { gainDb: 12 }) }),
      table: gateParameters,
      lively: { ...lively, linkPercent: 100 },
      takesKey: true,
      keyChannels: [1],
      runs: 10,
    });
  });

  it('opens along 1 - (1 - range) exp(-n / attack)', () => {
    const gate = new Gate(mono, { thresholdDb: -20, rangeDb: 20, attackMs: 1 });
    const [output] = render64(gate, [constant(1, 480)]);
    for (const n of [1, 48, 480]) expect(output[n - 1]).toBeCloseTo(1 - (1 - 0.1) * Math.exp(-n / 48), 12);
  });

  it('holds, then closes along range + (1 - range) exp(-n / release)', () => {
    const gate = new Gate(mono, { attackMs: 0, holdMs: 10, releaseMs: 5, rangeDb: 20 });
    const [output] = render64(gate, [constant(1, 1200)], [impulse(1200)]);
    expect(firstDifference(output.subarray(0, 481), constant(1, 481))).toBe(-1); // the hit and 480 samples of hold
    expect(output[481 + 240 - 1]).toBeCloseTo(0.1 + 0.9 * Math.exp(-1), 12);
  });

  it('follows the published state rule: open at open, reload at close, run down over hold', () => {
    // Sequence from vectors/gate_state.json; the state rule is that of Terrell, Reiss, Sandler 2010 with hysteresis.
    const levels = Float64Array.from(gateState.level_dB, (dB) => 10 ** (dB / 20));
    const gate = new Gate(mono, {
      thresholdDb: gateState.open_dB,
      hysteresisDb: gateState.open_dB - gateState.close_dB,
      holdMs: (gateState.hold_samples / 48000) * 1000,
      attackMs: 0,
      releaseMs: 0,
      rangeDb: 120,
    });
    const [output] = render64(gate, [constant(1, levels.length)], [levels]);
    expect(Array.from(output, (y) => (y > 0.5 ? 1 : 0))).toEqual(gateState.state);
  });

  it('sounds the same alone, traced, keyed by itself, and as one of two equal channels', () => {
    const x = bursts(3000, 4);
    const options = { thresholdDb: -20, attackMs: 0.2, holdMs: 1, releaseMs: 2 };
    const [alone] = render64(new Gate(mono, options), [x]);
    const [keyed] = render64(new Gate(mono, options), [x], [x]);
    const [traced, gainDb] = [x.slice(), new Float64Array(x.length)];
    new Gate(mono, options).process([traced], [traced], { trace: { gainDb: [gainDb] } });
    for (const y of [keyed, traced, ...render64(new Gate(stereo, options), [x, x])])
      expect(firstDifference(y, alone)).toBe(-1);
    expect(firstDifference(alone, x)).toBeGreaterThanOrEqual(0);
  });

  it('opens at exactly the threshold', () => {
    expect(render(new Gate(mono, { thresholdDb: 0, attackMs: 0 }), [constant(1, 1)])[0][0]).toBe(1);
  });

  it('opens at exactly the threshold for a key, too, while its channels are in different states', () => {
    for (let thresholdDb = -40; thresholdDb < -20; thresholdDb++) {
      const gate = new Gate(stereo, { thresholdDb, rangeDb: 60, attackMs: 0, releaseMs: 500, linkPercent: 50 });
      render(gate, [constant(1, 200), constant(1e-6, 200)], [constant(1, 200), constant(1e-6, 200)]);
      const [, quiet] = render64(gate, [constant(1, 2), constant(1, 2)], [constant(dbToGain(thresholdDb), 2)]);
      expect(quiet[0]).toBe(1);
    }
  });

  it('keeps its state between the opening and the closing level', () => {
    const between = 10 ** (-43 / 20); // threshold -40 dB, hysteresis 6 dB
    const gate = new Gate(mono, { attackMs: 0, holdMs: 0 });
    expect(render(gate, [constant(between, 64)])[0][63]).toBeLessThan(between / 1000);
    render(gate, [constant(1, 1)]);
    expect(render(gate, [constant(between, 64)])[0][63]).toBeCloseTo(between, 7);
  });

  it('opens every channel when one of them is loud', () => {
    const quiet = constant(0.001, 8);
    const [, second] = render64(new Gate(stereo, { attackMs: 0 }), [constant(1, 8), quiet]);
    expect(firstDifference(second, quiet)).toBe(-1);
  });

  it('opens each channel by itself when unlinked, and by half the way in dB at 50 %', () => {
    const loud = constant(1, 8),
      quiet = constant(10 ** (-60 / 20), 8);
    const open = (linkPercent: number, thresholdDb: number) =>
      render64(new Gate(stereo, { attackMs: 0, linkPercent, thresholdDb, rangeDb: 40 }), [loud, quiet])[1][7] /
      quiet[7];
    expect(open(0, -59)).toBeCloseTo(0.01, 9);
    expect(open(50, -29.99)).toBeCloseTo(0.01, 9); // the quiet channel counts as -30 dB
    expect(open(50, -30.01)).toBeCloseTo(1, 9);
  });

  it('opens by its look-ahead before the hit, and is late by it', () => {
    const gate = new Gate(mono, { attackMs: 0, holdMs: 0, releaseMs: 0, lookaheadMs: 2, rangeDb: 120 });
    expect(gate.latencySamples).toBe(96);
    const quiet = 1e-4; // below the threshold
    const input = constant(quiet, 400);
    input[200] = 1;
    const [y] = render64(gate, [input]);
    expect(y[199]).toBeCloseTo(quiet * 1e-6, 12);
    expect(y[200]).toBe(quiet); // the hit entered at 200: open at once, 96 samples before it comes out
    expect(y[296]).toBeCloseTo(1e-6, 9); // and, without hold, closed again when it does
    const held = new Gate(mono, { attackMs: 0.2, holdMs: 5, lookaheadMs: 2 });
    expect(render64(held, [input])[0][296]).toBeGreaterThan(0.9999);
  });

  it('traces level and gain of the sample that comes out', () => {
    const gate = new Gate(mono, {
      thresholdDb: -20,
      attackMs: 0,
      holdMs: 0,
      releaseMs: 0,
      lookaheadMs: 1,
      rangeDb: 60,
    });
    const input = new Float64Array(300);
    input.fill(0.5, 100, 200);
    const levelDb = new Float64Array(300).fill(7),
      gainDb = new Float64Array(300).fill(7);
    gate.process([input], [new Float64Array(300)], {
      start: 10,
      end: 290,
      trace: { levelDb: [levelDb], gainDb: [gainDb] },
    });
    expect([levelDb[9], gainDb[290]]).toEqual([7, 7]); // outside the part: untouched
    expect(levelDb[147]).toBe(-200);
    expect(levelDb[148]).toBeCloseTo(20 * Math.log10(0.5), 5);
    expect(gainDb[100]).toBe(0); // opened by the sample that comes out at 148
    expect(gainDb[99]).toBeCloseTo(-60, 5);
  });

  it('never amplifies and never changes polarity', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e9 }), anyParameters(gateParameters, 48000, false), (seed, options) => {
        const input = [bursts(1000, seed), bursts(1000, seed + 1)];
        return render64(new Gate(stereo, options), input).every((channel, c) =>
          channel.every((y, i) => Math.abs(y) <= Math.abs(input[c][i]) && y * input[c][i] >= 0),
        );
      }),
    );
  });

  it('set() keeps what it is not given, and changes nothing when it throws', () => {
    const gate = new Gate(mono, { attackMs: 0 });
    gate.set({ holdMs: 1 });
    const wrong = () => gate.set({ thresholdDb: 0, attackMs: -3 });
    expect(wrong).toThrow(new RangeError('Gate: attackMs must be 0 to 1000, got -3'));
    expect(() => gate.set({ treshold: 1 } as never)).toThrow(
      'Gate: treshold is unknown; the nearest name is thresholdDb',
    );
    expect(render(gate, [constant(0.5, 1)])[0][0]).toBe(0.5);
  });

  it('listens to its key through the key filter', () => {
    const quiet = constant(0.005, 10); // -46 dB
    const loud = (gainDb: number) => new Gate(mono, { attackMs: 0 }, { keyFilter: new Gain(mono, { gainDb }) });
    expect(render64(loud(0), [quiet])[0][9]).toBeLessThan(1e-5);
    expect(render64(loud(7), [quiet])[0][9]).toBe(0.005);
  });

  it('is deaf to its own input while it has a key', () => {
    const [y] = render64(new Gate(mono, { attackMs: 0, rangeDb: 120 }), [noise(100)], [constant(0, 100)]);
    expect(Math.max(...y)).toBeLessThan(2e-6);
  });
});
