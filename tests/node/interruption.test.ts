import { spawnSync, type SpawnSyncOptions } from 'node:child_process';
import { chmodSync, cpSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { bundleNode } from '../support/bundle-node.ts';
import { type Left, type Whole, whatIsLeft, wholeMix } from '../support/mix-folder.ts';
import { noise } from '../support/signals.ts';

const RATE = 48_000;
const plan = (gainDb: number) => ({
  version: 1,
  inputs: { a: { file: 'a.wav' } },
  channels: { a: { input: 'a', gainDb, pan: 0.2 } },
  mixBus: { chain: [{ type: 'gain', gainDb }] },
  output: { file: 'mix.wav' },
});
/** Renames and removals of a mix: WAV files and (3 to 5) reports are made, (6) the old report goes, (7 to 11) all get their names. */
const MOMENTS = [3, 5, 6, 7, 8, 11, 12];

describe('a mix that cannot go on', () => {
  let folder = '';
  let program = '';
  let earlier: Whole, later: Whole;
  const at = (...names: string[]) => join(folder, ...names);
  const run = (args: readonly string[], options: SpawnSyncOptions = {}, flags: readonly string[] = []) => {
    const { status, signal, stderr } = spawnSync(
      process.execPath,
      [...flags, program, 'mix', ...args, '--threads', '1'],
      {
        cwd: folder,
        ...options,
        encoding: 'utf8',
      },
    );
    return { status, signal, stderr };
  };

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-interrupted-'));
    ({ program } = bundleNode(at('bundle')));
    writeWavFile(at('a.wav'), [noise(RATE / 2, 1, 0.3)], { sampleRateHz: RATE });
    writeFileSync(at('earlier.json'), JSON.stringify(plan(0)));
    writeFileSync(at('later.json'), JSON.stringify(plan(-3)));
    expect(run(['earlier.json', '--folder', 'earlier']).status).toBe(0);
    expect(run(['later.json', '--folder', 'later']).status).toBe(0);
    [earlier, later] = [wholeMix(at('earlier')), wholeMix(at('later'))];
    chmodSync(folder, 0o755); // for the user without rights below
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('has whole files under their names, and a report only where it is true, killed before whichever file is renamed', () => {
    const flags = ['--import', resolve(import.meta.dirname, '../support/kill-at.mjs')];
    const left = MOMENTS.map((moment): Left => {
      rmSync(at('killed'), { recursive: true, force: true });
      cpSync(at('earlier'), at('killed'), { recursive: true });
      const env = { ...process.env, KILL_AT: String(moment) };
      expect(run(['later.json', '--folder', 'killed'], { env }, flags).signal).toBe('SIGKILL');
      return whatIsLeft(at('killed'), earlier, later);
    });
    expect(left).toEqual(['earlier', 'earlier', 'earlier', 'no report', 'no report', 'no report', 'new']);
  });

  it('says so where a file must not be as large, removes what it had begun, and leaves the earlier mix alone', ({
    skip,
  }) => {
    if (process.platform === 'win32') {
      console.log('this system has no limit on the size of files');
      skip();
    }
    rmSync(at('limited'), { recursive: true, force: true });
    cpSync(at('earlier'), at('limited'), { recursive: true });
    const command = `ulimit -f 100; exec '${process.execPath}' '${program}' mix later.json --folder limited --threads 1`;
    const { status, stderr } = spawnSync('bash', ['-c', command], { cwd: folder, encoding: 'utf8' });
    expect(stderr).toMatch(/^batterhead: .*limited\/mix\.wav cannot be written: EFBIG: file too large, write\n$/);
    expect(status).toBe(1);
    expect(whatIsLeft(at('limited'), earlier, later)).toBe('earlier');
    expect(readdirSync(at('limited')).sort()).toEqual([
      'mix.wav',
      'report.csv',
      'report.html',
      'report.json',
      'unprocessed.wav',
    ]);
  });

  it('says so where it must not write', () => {
    mkdirSync(at('closed'));
    chmodSync(at('closed'), 0o555);
    // Nothing is closed to root.
    const nobody = process.getuid?.() === 0 ? { uid: 65_534, gid: 65_534 } : {};
    for (const place of ['closed', 'closed/new']) {
      const { status, stderr } = run(['later.json', '--folder', place], nobody);
      expect(stderr).toMatch(/^batterhead: .*closed\/(new\/)?mix\.wav cannot be written: EACCES: permission denied, /);
      expect(status).toBe(1);
    }
    expect(readdirSync(at('closed'))).toEqual([]);
  });
});
