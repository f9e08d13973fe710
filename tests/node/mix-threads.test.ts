import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, unlinkSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type * as Library from '../../src/node/index.ts';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { bundleNode } from '../support/bundle-node.ts';
import { noise } from '../support/signals.ts';

const RATE = 48_000;
const inputs = ['a', 'b', 'c'];
const plan = {
  version: 1,
  inputs: Object.fromEntries(inputs.map((name) => [name, { file: `${name}.wav` }])),
  alignment: { method: 'off', moves: { b: { delaySamples: 2.5, polarity: -1 } } },
  channels: {
    a: { input: 'a', chain: [{ type: 'compressor', thresholdDb: -40, ratio: 8 }], sends: [{ to: 'hall', gainDb: -6 }] },
    b: { input: 'b', pan: 0.5, chain: [{ type: 'gate', thresholdDb: -30, key: 'a' }], output: 'sum' },
    c: { input: 'c', output: 'sum', chain: [{ type: 'hardClipper', oversampling: 2, driveDb: 6 }] },
  },
  buses: { sum: {}, hall: { chain: [{ type: 'schroederReverb', decaySeconds: 0.2 }] } },
  mixBus: { chain: [{ type: 'limiter', ceilingDb: -3 }] },
  output: { file: 'mix.wav' },
};

describe('a mix by several threads', () => {
  let folder = '';
  let library: typeof Library;
  const at = (name: string) => join(folder, name);

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-threads-'));
    library = createRequire(import.meta.url)(bundleNode(join(folder, 'bundle')).library) as typeof Library;
    inputs.forEach((name, i) => {
      writeWavFile(at(`${name}.wav`), [noise((i + 1) * RATE, i + 1, 0.4)], { sampleRateHz: RATE });
    });
    writeFileSync(at('plan.json'), JSON.stringify(plan));
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('has the bytes and the report of a mix by one, and tells its progress to the end', async () => {
    const whole = await mixPlanFile(at('plan.json'), { folder: at('1') });
    for (const threads of [2, 3, 12]) {
      const last = new Map<string, number>();
      const report = await library.mixPlanFile(at('plan.json'), {
        folder: at(String(threads)),
        threads,
        chunkFrames: 1000,
        onProgress: (stage, done, total) => last.set(stage, done / total),
      });
      expect({ ...report, speed: undefined }).toEqual({ ...whole, speed: undefined });
      for (const file of ['mix.wav', 'unprocessed.wav']) {
        expect(readFileSync(at(join(String(threads), file))).equals(readFileSync(at(join('1', file))))).toBe(true);
      }
      expect([...last]).toEqual([
        ['aligning', 0],
        ['mixing', 1],
        ['measuring the unprocessed mix', 1],
        ['writing the unprocessed mix', 1],
        ['judging', 0],
      ]);
    }
  });

  it('stops when its signal says so, in the middle or before, with one thread too, and leaves nothing behind', async () => {
    const before = process.getActiveResourcesInfo().length;
    for (const threads of [1, 3]) {
      for (const stop of ['mixing', 'writing the unprocessed mix']) {
        const controller = new AbortController();
        const reason = new Error(`enough of ${stop}`);
        const mixing = library.mixPlanFile(at('plan.json'), {
          folder: at('stopped'),
          threads,
          chunkFrames: 500,
          signal: controller.signal,
          onProgress: (stage, done, total) => {
            if (stage === stop && done > total / 2) controller.abort(reason);
          },
        });
        await expect(mixing).rejects.toBe(reason);
        expect(readdirSync(at('stopped'))).toEqual([]);
      }
    }
    const signal = AbortSignal.abort(new Error('never'));
    await expect(library.mixPlanFile(at('plan.json'), { folder: at('never'), signal })).rejects.toThrow('never');
    expect(existsSync(at('never'))).toBe(false);
    expect(process.getActiveResourcesInfo().length).toBeLessThanOrEqual(before);
  });

  it('fails as a whole, with the reason, when a thread fails', async () => {
    writeFileSync(at('lost.json'), JSON.stringify({ ...plan, inputs: { ...plan.inputs, a: { file: 'lost.wav' } } }));
    writeWavFile(at('lost.wav'), [noise(RATE, 1)], { sampleRateHz: RATE });
    const mixing = library.mixPlanFile(at('lost.json'), {
      folder: at('lost'),
      threads: 2,
      onProgress: (stage) => {
        if (stage === 'aligning') unlinkSync(at('lost.wav')); // open here, but not yet in the other thread
      },
    });
    await expect(mixing).rejects.toThrow(/ENOENT.*lost\.wav/);
    expect(readdirSync(at('lost'))).toEqual([]);
  });

  it('refuses a number of threads that is none, and says what it misses without its script', async () => {
    for (const threads of [0, 1.5, 65]) {
      await expect(mixPlanFile(at('plan.json'), { threads })).rejects.toThrow(
        new RegExp(`mixPlanFile: threads must be .*got ${threads}`),
      );
    }
    await expect(mixPlanFile(at('plan.json'), { threads: 2 })).rejects.toThrow(
      /mix-worker\.cjs: the script of the threads/,
    );
  });
});
