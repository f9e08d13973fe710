import { mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { dryRunPlanFile, dryRunSummary } from '../../src/node/dry-run.ts';
import { sha256OfFile } from '../../src/node/files.ts';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { noise } from '../support/signals.ts';

const RATE = 48000;

const plan = {
  version: 1,
  inputs: { a: { file: 'a.wav' }, b: { file: 'b.wav' } },
  channels: {
    a: {
      input: 'a',
      output: 'drums',
      chain: [
        { type: 'gate', lookaheadMs: 2 },
        { type: 'limiter', lookaheadMs: 3 },
      ],
    },
    b: { input: 'b', sends: [{ to: 'space' }] },
  },
  buses: { drums: {}, space: { chain: [{ type: 'schroederReverb' }] } },
  output: { file: 'mix.wav' },
};

describe('dryRunPlanFile', () => {
  let folder = '';
  const at = (name: string) => join(folder, name);
  const write = (json: object) => {
    writeFileSync(at('plan.json'), JSON.stringify(json));
    return at('plan.json');
  };

  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-dry-run-'));
    writeWavFile(at('a.wav'), [noise(RATE, 1, 0.3)], { sampleRateHz: RATE });
    writeWavFile(at('b.wav'), [noise(RATE, 2, 0.3), noise(RATE, 3, 0.3)], { sampleRateHz: RATE });
  });
  afterEach(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('writes nothing', () => {
    write(plan);
    const state = () => readdirSync(folder).map((name) => [name, statSync(at(name)).mtimeMs, sha256OfFile(at(name))]);
    const before = state();
    dryRunPlanFile(at('plan.json'));
    expect(state()).toEqual(before);
    dryRunPlanFile(at('plan.json'), { folder: at('elsewhere') });
    expect(state()).toEqual(before);
  });

  it('tells the latency and the length that the mix has', async () => {
    const { report } = dryRunPlanFile(write(plan));
    const { mix } = await mixPlanFile(at('plan.json'));
    for (const name of ['sampleRateHz', 'frames', 'latencySamples', 'tailSamples', 'tailCut'] as const) {
      expect(report[name], name).toBe(mix[name]);
    }
    expect(report.latencySamples).toBe(240);
    for (const [path, { startSamples, endSamples }] of Object.entries(mix.strips)) {
      expect(report.strips[path], path).toMatchObject({ startSamples, endSamples, peakDb: null });
    }
  });

  it('counts the channels of the files', () => {
    const { cost } = dryRunPlanFile(write({ ...plan, channels: { a: { input: 'a' }, b: { input: 'b' } } }));
    expect(cost.strips['channels.b'] / cost.strips['channels.a']).toBeCloseTo(2, 1); // the table is rounded
  });

  it('refuses what a mix refuses, in the same words', async () => {
    const faults = [
      { ...plan, channels: { a: { input: 'a', chain: [{ type: 'gate', attackMs: -3 }] } } },
      { ...plan, inputs: { a: { file: 'a.wav' }, b: { file: 'none.wav' } } },
      { ...plan, inputs: { a: { file: 'a.wav', channel: 3 }, b: { file: 'b.wav' } } },
      { ...plan, output: { file: 'a.wav' } },
      { ...plan, alignment: { drums: { snare: ['b'] }, overheads: ['a'] } },
      { ...plan, hits: { drums: { snare: { microphone: 'b', kind: 'snare' } } } },
    ];
    for (const fault of faults) {
      write(fault);
      const refused = await mixPlanFile(at('plan.json')).catch((error: unknown) => error as Error);
      expect(refused).toBeInstanceOf(Error);
      expect(() => dryRunPlanFile(at('plan.json'))).toThrow(refused);
    }
  });

  it('is told as a table of the strips and their whole', () => {
    const lines = dryRunSummary(dryRunPlanFile(write(plan))).split('\n');
    const row = (path: string) => lines.find((line) => line.startsWith(path))?.split(/ {2,}/);
    expect(row('channels.a')?.slice(0, 6)).toEqual([
      'channels.a',
      'a',
      'gate > limiter',
      'buses.drums',
      '5.00',
      '5.00',
    ]);
    expect(row('channels.b')?.[2]).toBe('mixBus, buses.space'); // it has no blocks
    const text = lines.join('\n');
    expect(text).toContain('latency: 240 samples, 5.00 ms');
    expect(text).toMatch(/cost, estimated: \d+\.\d\d % of one core live, \d+\.\d times real time on one core/);
    const shares = lines
      .filter((line) => /^(channels|buses|mixBus)/.test(line))
      .map((line) => Number(line.split(' ').at(-1)));
    const whole = Number(/(\d+\.\d\d) % of one core/.exec(text)?.[1]);
    expect(shares).toHaveLength(5);
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(whole, 1);
  });
});
