import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { resolveParameters } from '../../src/core/parameters.ts';
import { restGainDb } from '../../src/mix/gain-trace.ts';
import { TimeColumns } from '../../src/mix/time-columns.ts';
import { mix, RATE, recording } from './mix-support.ts';

describe('columns over time', () => {
  it('hold the lowest and the highest of each, however the values come', () => {
    const anyCuts = fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 200 }), fc.integer({ min: 1, max: 60 }), anyCuts, (frames, most, cuts) => {
        const columns = Math.min(most, frames);
        const before = 7; // values ahead of the first frame, and behind the last
        const values = Float64Array.from({ length: frames + 2 * before }, (_, i) => ((i * 7919) % 101) - 50);
        const gathered = new TimeColumns(frames, columns);
        for (let at = 0, c = 0; at < values.length; c++) {
          const end = Math.min(values.length, at + cuts[c % cuts.length]);
          gathered.add(values, at, end, at - before);
          at = end;
        }
        // The naive version: sort the frames into their columns one by one.
        const sorted = Array.from({ length: columns }, (): number[] => []);
        for (let f = 0; f < frames; f++) sorted[Math.floor((f * columns) / frames)].push(values[f + before]);
        expect(Array.from(gathered.lowest)).toEqual(sorted.map((list) => Math.min(...list)));
        expect(Array.from(gathered.highest)).toEqual(sorted.map((list) => Math.max(...list)));
        const all = sorted.flat();
        expect(gathered.mean).toBeCloseTo(all.reduce((sum, value) => sum + value, 0) / all.length, 9);
      }),
    );
    expect(new TimeColumns(10, 5).mean).toBeNull();
  });
});

describe('gain traces of a mix', () => {
  const tone = Float64Array.from({ length: RATE }, (_, i) => (i < RATE / 4 || i >= RATE / 2 ? 0 : 1));
  const strip = (...chain: object[]) => {
    const { report } = mix(
      { inputs: { a: { file: 'a' } }, channels: { a: { input: 'a', chain } }, mixBus: {} },
      { a: recording(tone) },
      { gainColumns: 100 },
    );
    return { report, chain: report.strips['channels.a'].chain };
  };

  it('tell the reduction of a compressor, its make-up left out, where it happens', () => {
    // 0 dBFS is 20 dB above the threshold: at 4:1 three quarters of that come off (the static curve).
    const { chain } = strip({ type: 'compressor', thresholdDb: -20, kneeDb: 0, ratio: 4, attackMs: 1, makeupDb: 6 });
    const { lowestDb, highestDb, meanDb, columns } = chain[0].gain ?? expect.fail('no trace');
    expect(lowestDb).toBeCloseTo(-15, 2);
    expect(highestDb).toBeCloseTo(0, 6);
    expect(columns.lowestDb).toHaveLength(100);
    expect(columns.lowestDb.slice(0, 25).every((gain) => Math.abs(gain) < 1e-6)).toBe(true);
    expect(columns.highestDb.slice(27, 50).every((gain) => Math.abs(gain + 15) < 0.01)).toBe(true);
    expect(columns.highestDb[60]).toBeGreaterThan(-15 * Math.exp(-0.9)); // 100 ms of release are one time constant
    expect(meanDb).toBeLessThan(-15 / 4);
    expect(meanDb).toBeGreaterThan(-15 / 2);
  });

  it('stand at the place in the mix where they are heard, whatever is late before and behind them', () => {
    const late = { type: 'delay', delaySamples: 0 };
    const lookahead = { type: 'limiter', lookaheadMs: 20, ceilingDb: -6, releaseMs: 0 };
    const gate = { type: 'gate', thresholdDb: -20, attackMs: 0, holdMs: 0, releaseMs: 0, rangeDb: 40 };
    const { chain, report } = strip(lookahead, gate, lookahead, late);
    expect(report.latencySamples).toBe((2 * 20 * RATE) / 1000);
    const opened = chain[1].gain?.columns.highestDb.map((gain) => gain > -1) ?? [];
    expect(opened.indexOf(true)).toBe(25); // a quarter of a second
    expect(opened.lastIndexOf(true)).toBe(49);
    expect(chain[1].gain).toMatchObject({ highestDb: 0 });
    expect(chain[1].gain?.lowestDb).toBeCloseTo(-40, 6);
    expect(chain[3]).not.toHaveProperty('gain');
    expect(chain[0]).toMatchObject({
      type: 'limiter',
      latencySamples: 960,
      values: { ceilingDb: -6, linkPercent: 100 },
    });
  });

  it('do not change the sound, and are not there unless asked for', () => {
    const json = {
      inputs: { a: { file: 'a' } },
      channels: { a: { input: 'a', chain: [{ type: 'compressor', thresholdDb: -40 }] } },
    };
    const without = mix(json, { a: recording(tone) }),
      traced = mix(json, { a: recording(tone) }, { gainColumns: 7, chunkFrames: 333 });
    expect(traced.left).toEqual(without.left);
    expect(without.report.strips['channels.a'].chain[0]).not.toHaveProperty('gain');
    expect(() => mix(json, { a: recording(tone) }, { gainColumns: 0 })).toThrow(
      'gainColumns must be 1 to 10000, got 0',
    );
  });

  it('know the gain of every dynamics block that has nothing to do', () => {
    const given: Readonly<Record<string, object>> = {
      compressor: { automaticMakeup: true, makeupDb: 2, thresholdDb: -30, ratio: 5, kneeDb: 12, rangeDb: 20 },
    };
    const types = Object.entries(blockTypes).filter(([type, { takesKey }]) => takesKey && type !== 'gate');
    expect(types.length).toBeGreaterThan(5);
    for (const [type, { create, parameters }] of types) {
      if (type === 'expander' || type === 'upwardCompressor') continue; // silence is below their threshold
      const options = given[type] ?? {};
      const processor = create({ sampleRateHz: RATE, channels: 1 }, options, { bands: [] });
      const gainDb = [new Float64Array(2000)];
      processor.process([new Float64Array(2000)], [new Float64Array(2000)], { trace: { gainDb } });
      const values = resolveParameters('', parameters, options, RATE);
      expect([type, gainDb[0][1999]]).toEqual([type, expect.closeTo(restGainDb(type, values), 5)]);
    }
    // Half of the 20 dB to which the range holds what 0 dBFS would lose, and the 2 dB set by hand.
    expect(
      restGainDb('compressor', resolveParameters('', blockTypes.compressor.parameters, given.compressor, RATE)),
    ).toBeCloseTo(12, 9);
  });
});
