import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sha256OfFile } from '../../src/node/files.ts';
import { mixBatch } from '../../src/node/mix-batch.ts';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { bundleNode } from '../support/bundle-node.ts';
import { noise } from '../support/signals.ts';

const RATE = 48_000;
const SONGS = 20;
const BROKEN = 'song07/plan.json';

interface Manifest {
  readonly plans: Readonly<Record<string, { error?: string; written?: { file: string; sha256: string }[] }>>;
}

describe('a batch', () => {
  let folder = '';
  let program = '';
  const at = (...names: string[]) => join(folder, ...names);
  const manifest = (name: string): Manifest => JSON.parse(readFileSync(at(name), 'utf8')) as Manifest;
  const run = (...args: string[]) =>
    spawnSync(process.execPath, [program, 'batch', ...args, '--threads', '1'], { cwd: folder, encoding: 'utf8' });

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-batch-'));
    ({ program } = bundleNode(at('bundle')));
    for (let s = 0; s < SONGS; s++) {
      const song = `song${String(s).padStart(2, '0')}`;
      mkdirSync(at('songs', song), { recursive: true });
      writeWavFile(at('songs', song, 'a.wav'), [noise(RATE / 4, s, 0.5)], { sampleRateHz: RATE });
      const plan = {
        version: 1,
        inputs: { a: { file: 'a.wav' } },
        channels: { a: { input: 'a', chain: [{ type: 'compressor', thresholdDb: -30, ratio: 4 }] } },
        output: { file: 'mix.wav' },
      };
      writeFileSync(at('songs', song, 'plan.json'), JSON.stringify(plan));
    }
    writeFileSync(at('songs', BROKEN), '{ "version": 1, "inputs": ');
    writeFileSync(at('songs/notes.json'), 'no plan');
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('tells of a broken plan, mixes the rest, and exits with 1', () => {
    const { status, stdout } = run('songs', '--folder', 'whole');
    expect(stdout).toMatch(/song07\/plan\.json failed: .*must be JSON/);
    expect(stdout).toContain(`${SONGS - 1} mixed, 0 had been mixed before, 1 failed`);
    expect(status).toBe(1);
    const { plans } = manifest('whole/manifest.json');
    expect(Object.keys(plans)).toHaveLength(SONGS);
    for (const [name, { error, written = [] }] of Object.entries(plans)) {
      expect(error !== undefined).toBe(name === BROKEN);
      expect(written).toHaveLength(name === BROKEN ? 0 : 2);
      for (const { file, sha256 } of written) expect(sha256OfFile(at('whole', file))).toBe(sha256);
    }
  });

  it('that was killed half-way and begun again ends with the manifest of one that was not, and mixes nothing twice', async () => {
    const child = spawn(process.execPath, [program, 'batch', 'songs', '--folder', 'killed', '--threads', '1'], {
      cwd: folder,
    });
    const ended = once(child, 'exit');
    const done = () => {
      try {
        return Object.keys(manifest('killed/manifest.json').plans).length;
      } catch {
        return 0; // not there yet
      }
    };
    while (done() < SONGS / 2 && child.exitCode === null) await wait(2);
    child.kill('SIGKILL');
    await ended;
    const before = done();
    expect(before).toBeGreaterThanOrEqual(SONGS / 2);
    expect(before).toBeLessThan(SONGS);
    const first = at('killed/song00/plan/mix.wav'),
      { mtimeMs } = statSync(first);
    // What the kill may have left in the middle of a song.
    mkdirSync(at('killed/song19/plan'), { recursive: true });
    writeFileSync(at('killed/song19/plan/mix.wav.123.part.123.part'), 'half');

    const again = run('songs', '--folder', 'killed');
    expect(again.status).toBe(1);
    expect(Number(/, (\d+) had been mixed before/.exec(again.stdout)?.[1])).toBeGreaterThanOrEqual(before - 1);
    expect(readFileSync(at('killed/manifest.json'), 'utf8')).toBe(readFileSync(at('whole/manifest.json'), 'utf8'));
    expect(statSync(first).mtimeMs).toBe(mtimeMs);
    const left = readdirSync(at('killed'), { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.includes('.part'),
    );
    expect(left).toEqual([]);
  });

  it('mixes again what has changed: a plan, an input, a mix that is not as it was written', async () => {
    const mixed = async () => {
      const { mixed: count, kept } = await mixBatch(at('few'), { folder: at('few-mixes') });
      return [count, kept];
    };
    for (const song of ['song00', 'song01', 'song02']) {
      mkdirSync(at('few', song), { recursive: true });
      for (const file of ['plan.json', 'a.wav']) copyFileSync(at('songs', song, file), at('few', song, file));
    }
    expect(await mixed()).toEqual([3, 0]);
    expect(await mixed()).toEqual([0, 3]);
    writeFileSync(at('few/song00/plan.json'), readFileSync(at('few/song00/plan.json'), 'utf8').replace('-30', '-29'));
    writeWavFile(at('few/song01/a.wav'), [noise(1000, 9)], { sampleRateHz: RATE });
    writeFileSync(at('few-mixes/song02/plan/mix.wav'), 'torn');
    expect(await mixed()).toEqual([3, 0]);
    rmSync(at('few-mixes/song02/plan/unprocessed.wav'));
    expect(await mixed()).toEqual([1, 2]);
  });

  it('has the plans of each shard once, and a run without shards finds them done', async () => {
    const names: string[] = [];
    for (const index of [1, 2, 3]) {
      const { entries } = await mixBatch(at('songs'), { folder: at('shards'), shard: { index, count: 3 } });
      names.push(...Object.keys(entries));
      expect(Object.keys(manifest(`shards/manifest-${index}-of-3.json`).plans)).toEqual(Object.keys(entries));
    }
    expect(names.sort()).toEqual(Object.keys(manifest('whole/manifest.json').plans));
    const { mixed, kept, failed } = await mixBatch(at('songs'), { folder: at('shards') });
    expect({ mixed, kept, failed }).toEqual({ mixed: 0, kept: SONGS - 1, failed: 1 });
    expect(readFileSync(at('shards/manifest.json'), 'utf8')).toBe(readFileSync(at('whole/manifest.json'), 'utf8'));
  });

  it('is spread by GNU parallel', ({ skip }) => {
    const { stdout: told } = spawnSync('parallel', ['--version'], { encoding: 'utf8' });
    if (!/^GNU parallel/.test(told ?? '')) {
      console.log('GNU parallel is not installed: nothing to spread a batch with');
      skip();
    }
    const line = `'${process.execPath}' '${program}' batch songs --folder parallel --shard {}/4 --threads 1`;
    const { status } = spawnSync('parallel', ['--will-cite', '-j', '2', line, ':::', '1', '2', '3', '4'], {
      cwd: folder,
      encoding: 'utf8',
    });
    expect(status).toBe(1); // one of four shards has the broken plan
    expect(run('songs', '--folder', 'parallel').stdout).toContain(
      `0 mixed, ${SONGS - 1} had been mixed before, 1 failed`,
    );
    expect(readFileSync(at('parallel/manifest.json'), 'utf8')).toBe(readFileSync(at('whole/manifest.json'), 'utf8'));
  });

  it('refuses a shard that there is not, a folder without plans, and a mix outside its place', async () => {
    await expect(mixBatch(at('songs'), { shard: { index: 5, count: 4 } })).rejects.toThrow(
      'mixBatch: shard.index must be 1 to 4, got 5',
    );
    mkdirSync(at('empty'));
    await expect(mixBatch(at('empty'))).rejects.toThrow(/empty must hold plans/);
    expect(existsSync(at('empty/mixes'))).toBe(false);
    expect(run('songs', '--shard', '4')).toMatchObject({ status: 2 });
    expect(run('songs', '--shard', '0/4').stderr).toContain('mixBatch: shard.index must be 1 to 4, got 0');
    mkdirSync(at('out'));
    const plan = JSON.parse(readFileSync(at('songs/song00/plan.json'), 'utf8')) as object;
    for (const [name, file] of [
      ['up', '../mix.wav'],
      ['absolute', at('mix.wav')],
    ]) {
      writeFileSync(at('out', `${name}.plan.json`), JSON.stringify({ ...plan, output: { file } }));
    }
    const { failed, entries } = await mixBatch(at('out'));
    expect(failed).toBe(2);
    expect(JSON.stringify(entries)).toContain('output.file must not lead out of its folder in a batch, got');
  });
});
