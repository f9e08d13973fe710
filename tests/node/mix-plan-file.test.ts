import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { sha256OfFile } from '../../src/node/files.ts';
import { mixSummary } from '../../src/node/summary.ts';
import { WavInput, writeWavFile } from '../../src/node/wav-files.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { noise, peak } from '../support/signals.ts';

const RATE = 48000;

const plan = {
  version: 1,
  inputs: { a: { file: 'a.wav' }, b: { file: 'stereo.wav', channel: 1 } },
  channels: {
    a: { input: 'a', chain: [{ type: 'compressor', thresholdDb: -40, ratio: 8, makeupDb: 12 }] },
    b: { input: 'b', pan: 0.5 },
  },
  mixBus: { chain: [{ type: 'limiter', ceilingDb: -3 }] },
  output: { file: 'mix.wav' },
};

describe('mixPlanFile', () => {
  let folder = '';
  const at = (name: string) => join(folder, name);
  const write = (json: unknown) => {
    writeFileSync(at('plan.json'), typeof json === 'string' ? json : JSON.stringify(json));
    return at('plan.json');
  };

  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-mix-'));
    writeWavFile(at('a.wav'), [noise(2 * RATE, 1, 0.3)], { sampleRateHz: RATE });
    writeWavFile(at('stereo.wav'), [noise(RATE, 2), noise(RATE, 3, 0.1)], { sampleRateHz: RATE, bitsPerSample: 16 });
  });
  afterEach(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('writes a valid 24-bit mix below the ceiling, the unprocessed mix at the same loudness, and a report', () => {
    const report = mixPlanFile(write(plan), { chunkFrames: 1000 });
    const mix = decodeWav(readFileSync(at('mix.wav'))),
      unprocessed = decodeWav(readFileSync(at('unprocessed.wav')));
    expect(mix).toMatchObject({ sampleRateHz: RATE, format: { encoding: 'integer', bitsPerSample: 24 } });
    expect(mix.channels).toHaveLength(2);
    // Dither may lift a sample by 2 steps of 24 bits.
    expect(Math.max(...mix.channels.map(peak))).toBeLessThanOrEqual(10 ** (-3 / 20) + 2 / 2 ** 23);
    expect(peak(mix.channels[0])).toBeGreaterThan(0.1);
    expect(unprocessed.format).toMatchObject({ encoding: 'float', bitsPerSample: 32 });
    const loudness = measureLoudness(mix.channels, RATE);
    expect(measureLoudness(unprocessed.channels, RATE)).toBeCloseTo(loudness, 3);
    expect(report.mix.loudnessLufs).toBeCloseTo(loudness, 3);
    expect(JSON.parse(readFileSync(at('report.json'), 'utf8'))).toEqual(JSON.parse(JSON.stringify(report)));
    expect(report.mix.sha256).toBe(sha256OfFile(at('mix.wav')));
    expect(report.inputs['b']).toEqual({ file: 'stereo.wav', sha256: sha256OfFile(at('stereo.wav')) });
    expect(report.speed.timesRealTime).toBeGreaterThan(0);
    expect(mixSummary(report)).toMatch(/channels\.a +-?\d+\.\d\d +0\.00\n[^]*mix\.wav[^]*times real time/);
    expect(readdirSync(folder).filter((name) => name.includes('.part'))).toEqual([]);
  });

  it('writes the same bytes for any size of chunks', () => {
    const hashes = [64, 1000, 48_000].map((chunkFrames) => mixPlanFile(write(plan), { chunkFrames }).mix.sha256);
    expect(new Set(hashes).size).toBe(1);
  });

  it('reads the channel of a file that the plan asks for', () => {
    const only = {
      ...plan,
      channels: { b: { input: 'b', pan: -1 } },
      mixBus: {},
      output: { file: 'b.wav', sampleFormat: 'float32' },
    };
    mixPlanFile(write(only));
    const { channels } = decodeWav(readFileSync(at('b.wav')));
    const source = decodeWav(readFileSync(at('stereo.wav')));
    expect(channels[0].every((x, i) => x === source.channels[1][i])).toBe(true);
    expect(peak(channels[1])).toBe(0);
  });

  it('puts what it writes into another folder if asked', () => {
    mixPlanFile(write(plan), { folder: at('elsewhere') });
    expect(readdirSync(at('elsewhere')).sort()).toEqual(['mix.wav', 'report.json', 'unprocessed.wav']);
    expect(existsSync(at('mix.wav'))).toBe(false);
  });

  it('says what is wrong, and writes nothing', () => {
    const refusals: readonly (readonly [unknown, RegExp])[] = [
      ['{ "version": 1,', /plan\.json: must be JSON/],
      [
        { ...plan, channels: { a: { input: 'a', chain: [{ type: 'gate', attackMs: -3 }] } } },
        /channels\.a\.chain\[0\]\.attackMs must be 0 to 1000, got -3/,
      ],
      [{ ...plan, inputs: { ...plan.inputs, a: { file: 'missing.wav' } } }, /missing\.wav/],
      [{ ...plan, inputs: { ...plan.inputs, a: { file: 'plan.json' } } }, /plan\.json: .*byte 0/],
      [
        { ...plan, inputs: { ...plan.inputs, b: { file: 'stereo.wav', channel: 2 } } },
        /inputs\.b\.channel must be 0 to 1, got 2/,
      ],
    ];
    for (const [json, message] of refusals) {
      const path = write(json);
      expect(() => mixPlanFile(path)).toThrow(message);
      expect(readdirSync(folder).sort()).toEqual(['a.wav', 'plan.json', 'stereo.wav']);
    }
  });

  it('leaves an earlier mix alone when a later one fails', () => {
    mixPlanFile(write(plan));
    const before = sha256OfFile(at('mix.wav'));
    expect(() =>
      mixPlanFile(write(plan), {
        onProgress: () => {
          throw new Error('stopped');
        },
      }),
    ).toThrow('stopped');
    expect(sha256OfFile(at('mix.wav'))).toBe(before);
    expect(readdirSync(folder).filter((name) => name.includes('.part'))).toEqual([]);
  });
});

describe('WavInput', () => {
  it('names the file that is missing or broken', () => {
    expect(() => new WavInput('/no/such/file.wav')).toThrow(/no\/such\/file\.wav/);
  });
});
