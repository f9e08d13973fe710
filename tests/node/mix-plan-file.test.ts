import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { mixPlanFile, type MixStage, readPlanFile } from '../../src/node/mix-plan-file.ts';
import { sha256OfFile, temporaryName } from '../../src/node/files.ts';
import { mixSummary } from '../../src/node/summary.ts';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { noise, peak } from '../support/signals.ts';

const RATE = 48000;

const FILES = ['mix.wav', 'report.csv', 'report.html', 'report.json', 'unprocessed.wav'];

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

  it('writes a valid 24-bit mix below the ceiling, the unprocessed mix at the same loudness, and a report', async () => {
    const report = await mixPlanFile(write(plan), { chunkFrames: 1000 });
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
    expect(report.inputs['b']).toMatchObject({
      file: 'stereo.wav',
      sha256: sha256OfFile(at('stereo.wav')),
      truncated: false,
    });
    expect(report.unprocessed.loudnessLufs).toBeCloseTo(loudness, 3);
    expect(report.speed.timesRealTime).toBeGreaterThan(0);
    expect(mixSummary(report)).toMatch(/channels\.a +-?\d+\.\d\d +0\.00\n[^]*mix\.wav[^]*times real time/);
    expect(readdirSync(folder).filter((name) => name.includes('.part'))).toEqual([]);
  });

  it('writes the same bytes for any size of chunks', async () => {
    const hashes = new Set<string>();
    for (const chunkFrames of [64, 1000, 48_000]) {
      hashes.add((await mixPlanFile(write(plan), { chunkFrames })).mix.sha256);
    }
    expect(hashes.size).toBe(1);
  });

  it('reads the channel of a file that the plan asks for', async () => {
    const only = {
      ...plan,
      channels: { b: { input: 'b', pan: -1 } },
      mixBus: {},
      output: { file: 'b.wav', sampleFormat: 'float32' },
    };
    await mixPlanFile(write(only));
    const { channels } = decodeWav(readFileSync(at('b.wav')));
    const source = decodeWav(readFileSync(at('stereo.wav')));
    expect(channels[0].every((x, i) => x === source.channels[1][i])).toBe(true);
    expect(peak(channels[1])).toBe(0);
  });

  it('puts what it writes into another folder if asked', async () => {
    await mixPlanFile(write(plan), { folder: at('elsewhere') });
    expect(readdirSync(at('elsewhere')).sort()).toEqual(FILES);
    expect(existsSync(at('mix.wav'))).toBe(false);
  });

  it('says what is wrong, and writes nothing', async () => {
    const refusals: readonly (readonly [unknown, RegExp])[] = [
      ['{ "version": 1,', /plan\.json: must be JSON|plan\.json, line 1, column 16: must be JSON/],
      ['{\n  "version": 1,\n  }', /plan\.json, line 3, column 3: must be JSON/],
      [
        { ...plan, channels: { a: { input: 'a', chain: [{ type: 'gate', attackMs: -3 }] } } },
        /channels\.a\.chain\[0\]\.attackMs must be 0 to 1000, got -3/,
      ],
      [{ ...plan, inputs: { ...plan.inputs, a: { file: 'missing.wav' } } }, /missing\.wav cannot be read: ENOENT/],
      [{ ...plan, inputs: { ...plan.inputs, a: { file: 'plan.json' } } }, /plan\.json: .*byte 0/],
      [
        { ...plan, inputs: { ...plan.inputs, b: { file: 'stereo.wav', channel: 2 } } },
        /inputs\.b\.channel must be 0 to 1, got 2/,
      ],
      [{ ...plan, inputs: { ...plan.inputs, a: { file: 'slow.wav' } } }, /inputs\.a: sampleRateHz must be .* got 4000/],
      [{ ...plan, inputs: { ...plan.inputs, b: { file: 'slow.wav' } } }, /inputs\.b: the file must have 48000 Hz/],
      [{ ...plan, mixBus: {}, buses: { p: { output: 'q' }, q: { output: 'p' } } }, /must not close a loop/],
    ];
    writeWavFile(at('slow.wav'), [noise(100)], { sampleRateHz: 4000 });
    for (const [json, message] of refusals) {
      const path = write(json);
      await expect(mixPlanFile(path, { folder: at('new') })).rejects.toThrow(message);
      expect(readdirSync(folder).sort()).toEqual(['a.wav', 'plan.json', 'slow.wav', 'stereo.wav']);
    }
  });

  it('names a plan that cannot be read', () => {
    expect(() => readPlanFile(folder)).toThrow(`${folder} cannot be read: EISDIR`);
    expect(() => readPlanFile(at('none.json'))).toThrow(`${at('none.json')} cannot be read: ENOENT`);
  });

  it('reads a plan behind a byte order mark', () => {
    expect(readPlanFile(write(`\uFEFF${JSON.stringify(plan)}`)).output.file).toBe('mix.wav');
  });

  it('overwrites nothing that it reads, nor one of its files by another', async () => {
    symlinkSync(at('a.wav'), at('link.wav'));
    symlinkSync(folder, at('here'));
    mkdirSync(at('folder/report.json'), { recursive: true });
    writeWavFile(at('unprocessed.wav'), [noise(100)], { sampleRateHz: RATE });
    const to = (file: string) => ({ ...plan, output: { file } });
    const from = (file: string) => ({ ...plan, inputs: { ...plan.inputs, a: { file } } });
    const refusals: readonly (readonly [object, string | undefined, string])[] = [
      [to('plan.json'), undefined, 'output.file must not be the plan, got "plan.json"'],
      [to('./sub/../a.wav'), undefined, 'output.file must not be inputs.a.file, got "./sub/../a.wav"'],
      [to('link.wav'), undefined, 'output.file must not be inputs.a.file, got "link.wav"'],
      [to('here/a.wav'), undefined, 'output.file must not be inputs.a.file, got "here/a.wav"'],
      [to('a.wav'), 'here', 'output.file must not be inputs.a.file, got "a.wav"'],
      [to('unprocessed.wav'), 'new', 'output.file must not be unprocessed.wav, got '],
      [to('here/unprocessed.wav'), undefined, 'output.file must not be unprocessed.wav, got '],
      [to('report.json'), 'new', 'output.file must not be report.json, got '],
      [from('unprocessed.wav'), undefined, 'inputs.a.file must not be unprocessed.wav, which is written'],
      [to('folder'), undefined, 'output.file must not be a folder'],
      [plan, 'folder', 'report.json must not be a folder'],
    ];
    const files = ['a.wav', 'stereo.wav', 'unprocessed.wav'];
    const before = files.map((name) => sha256OfFile(at(name)));
    const names = readdirSync(folder).sort();
    for (const [json, other, message] of refusals) {
      const path = write(json);
      let error: unknown;
      try {
        await mixPlanFile(path, { folder: other === undefined ? undefined : at(other) });
      } catch (thrown) {
        error = thrown;
      }
      expect(error).toBeInstanceOf(RangeError);
      expect((error as Error).message).toContain(message);
      expect(readFileSync(path, 'utf8')).toBe(JSON.stringify(json));
    }
    expect(files.map((name) => sha256OfFile(at(name)))).toEqual(before);
    expect(readdirSync(folder).sort()).toEqual([...names, 'plan.json'].sort());
    // Elsewhere the same names are free.
    await mixPlanFile(write(from('unprocessed.wav')), { folder: at('new') });
    expect(readdirSync(at('new')).sort()).toEqual(FILES);
  });

  it('does not take report.json for a plan that it would overwrite', async () => {
    writeFileSync(at('report.json'), JSON.stringify(plan));
    await expect(mixPlanFile(at('report.json'))).rejects.toThrow('the plan must not be report.json, which is written');
    expect(readFileSync(at('report.json'), 'utf8')).toBe(JSON.stringify(plan));
  });

  it('tells of a file that is shorter than its header says, and of its loudness when the mix is silent', async () => {
    truncateSync(at('a.wav'), 100_000);
    const report = await mixPlanFile(
      write({ ...plan, channels: { ...plan.channels, b: { input: 'b', gainDb: -120 } } }),
    );
    expect(report.inputs['a']).toMatchObject({ file: 'a.wav', truncated: true });
    expect(report.inputs['b'].truncated).toBe(false);
    expect(mixSummary(report)).toContain('a.wav is shorter than its header says');
    expect(report.mix.frames).toBe(RATE);

    const gate = { type: 'gate', thresholdDb: 0, rangeDb: 120 };
    const silent = await mixPlanFile(
      write({
        ...plan,
        channels: { a: { input: 'a', chain: [gate, gate, { type: 'gain', gainDb: -120 }] } },
        output: { file: 'mix.wav', sampleFormat: 'float32' },
      }),
    );
    expect(silent.mix.loudnessLufs).toBeNull();
    const own = measureLoudness(decodeWav(readFileSync(at('unprocessed.wav'))).channels, RATE);
    expect(own).toBeGreaterThan(-30);
    expect(silent.unprocessed).toMatchObject({ gainDb: 0 });
    expect(silent.unprocessed.loudnessLufs).toBeCloseTo(own, 3);
    expect(mixSummary(silent)).toMatch(new RegExp(`unprocessed\\.wav +${own.toFixed(2)} `));
  });

  it('leaves all files of an earlier mix alone when a later one fails, whenever that is', async () => {
    const names = FILES;
    const hashes = () => names.map((name) => sha256OfFile(at(name)));
    await mixPlanFile(write(plan));
    const before = hashes();
    const there = readdirSync(folder).sort();
    const louder = write({ ...plan, mixBus: { gainDb: 3 } });
    const stages: MixStage[] = ['mixing', 'measuring the unprocessed mix', 'writing the unprocessed mix'];
    for (const failing of stages) {
      const fail = () =>
        mixPlanFile(louder, {
          onProgress: (stage, done, total) => {
            if (stage === failing && done === total) throw new Error(`stopped: ${stage}`);
          },
        });
      await expect(fail()).rejects.toThrow(`stopped: ${failing}`);
      expect(hashes()).toEqual(before);
      expect(readdirSync(folder).sort()).toEqual(there);
    }
    // The last file that is made: something else has the name under which the report is to be written.
    mkdirSync(temporaryName(at('report.json')));
    await expect(mixPlanFile(louder)).rejects.toThrow(/EISDIR.*rename/);
    expect(hashes()).toEqual(before);
    rmSync(temporaryName(at('report.json')), { recursive: true, force: true });
    expect(readdirSync(folder).sort()).toEqual(there);

    await mixPlanFile(louder);
    expect(hashes().filter((hash, i) => hash === before[i])).toEqual([]);
    expect(readdirSync(folder).sort()).toEqual(there);
  });
});
