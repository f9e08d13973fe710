/** The project's own scripts: a check that counts wrongly, or reads nothing, would make every other check worthless. */
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { descriptionsModule, parametersPage, readTables } from '../../scripts/parameter-docs.mjs';
import { packageFolder, packageNotice } from '../../scripts/third-party-notices.mjs';

const ROOT = resolve(import.meta.dirname, '../..');
const scratch = mkdtempSync(join(tmpdir(), 'batterhead-scripts-'));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** Writes files below a new folder, which it returns. */
function folderWith(name: string, files: Readonly<Record<string, string>>): string {
  for (const [path, text] of Object.entries(files)) {
    const file = join(scratch, name, path);
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, text);
  }
  return join(scratch, name);
}

describe('npm test', () => {
  /** Runs the script on test files of their own, outside the project; answers the exit code and the last line. */
  function run(name: string, files: Readonly<Record<string, string>>): { status: number | null; lastLine: string } {
    const folder = folderWith(name, {
      'package.json': '{"type":"module"}',
      'vitest.config.mjs': 'export default {}',
      ...files,
    });
    const { status, stdout } = spawnSync(process.execPath, ['scripts/test.mjs', '--root', folder, '--globals'], {
      cwd: ROOT,
      encoding: 'utf8',
      env: { ...process.env, VITEST: undefined, VITEST_POOL_ID: undefined, VITEST_WORKER_ID: undefined },
    });
    return { status, lastLine: stdout.trimEnd().split('\n').at(-1) ?? '' };
  }

  it('counts tests, a file that does not load and an error outside any test, and fails for each', () => {
    expect(run('pass', { 'a.test.js': "it('a', () => {}); it('b', () => {}); it.skip('c', () => {});" })).toEqual({
      status: 0,
      lastLine: '2 passed, 0 failed',
    });
    expect(
      run('fail', {
        'a.test.js': "it('a', () => {}); it('b', () => { expect(1).toBe(2); });",
        'b.test.js': "throw new Error('does not load');",
        'c.test.js':
          "it('c', () => { setTimeout(() => { throw new Error('late'); }); return new Promise((r) => setTimeout(r, 50)); });",
      }),
    ).toEqual({ status: 1, lastLine: '2 passed, 3 failed' });
  });

  it('fails when there is nothing to run', () => {
    expect(run('nothing', {})).toEqual({ status: 1, lastLine: '0 passed, 1 failed' });
  });
});

describe('the parameter documentation', () => {
  it('is up to date: npm run docs:parameters changes nothing', () => {
    const { status, stderr, stdout } = spawnSync(process.execPath, ['scripts/parameter-docs.mjs', '--check'], {
      cwd: ROOT,
      encoding: 'utf8',
    });
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(Number(/^(\d+) parameter tables$/m.exec(stdout)?.[1])).toBeGreaterThanOrEqual(8);
  });

  const sources = {
    'core/key-rows.ts': `export const keyRows = {
      /** How far the channels follow each other. */
      linkPercent: { default: 100, min: 0, max: 100 },
    } as const;
    export function readParameters(): void {}`,
    'dynamics/gate.ts': `import { keyRows } from '../core/key-rows.ts';
    export const gateParameters = {
      /** Level that opens the gate,
       * see {@link Gate} | peak. */
      thresholdDb: { default: -20 * 2, min: -120, max: 0 },
      /** Corner of the key filter. */
      keyHz: { default: 100, min: 20, max: 'nyquist', taper: 'log' },
      /** Base-rate multiple. */
      oversampling: { default: 1, min: 1, max: 16, integer: true, fixed: true },
      /** What it listens to. */
      detector: { default: 'peak', choices: ['peak', 'rms'] },
      /** Whether it is on. */
      active: { default: true },
      ...keyRows,
    } as const;`,
  };

  it('takes meanings from doc comments, of spread rows too, and numbers from the running table', async () => {
    const src = folderWith('tables', sources);
    const tables = await readTables(src, scratch);
    expect(tables.map((table) => table.name)).toEqual(['gateParameters']);
    expect(tables[0].meanings).toEqual({
      thresholdDb: 'Level that opens the gate, see `Gate` | peak.',
      keyHz: 'Corner of the key filter.',
      oversampling: 'Base-rate multiple.',
      detector: 'What it listens to.',
      active: 'Whether it is on.',
      linkPercent: 'How far the channels follow each other.',
    });
    const rows = parametersPage(tables, src)
      .split('\n')
      .filter((line) => line.startsWith('| `'));
    expect(rows).toEqual([
      '| `thresholdDb` | dB | -40 | -120 to 0 |  | Level that opens the gate, see `Gate` \\| peak. |',
      '| `keyHz` | Hz | 100 | 20 to 0.49 of the sample rate |  | Corner of the key filter. |',
      '| `oversampling` |  | 1 | 1 to 16, whole | yes | Base-rate multiple. |',
      '| `detector` |  | peak | `peak`, `rms` |  | What it listens to. |',
      '| `active` |  | true | true or false |  | Whether it is on. |',
      '| `linkPercent` | % | 100 | 0 to 100 |  | How far the channels follow each other. |',
    ]);
    expect(descriptionsModule(tables)).toContain(
      'gate: {\n"thresholdDb": "Level that opens the gate, see `Gate` | peak.",',
    );
  });

  it('refuses a row without a doc comment and two tables of one name', async () => {
    const undocumented = { 'a.ts': 'export const aParameters = { gainDb: { default: 0, min: -1, max: 1 } } as const;' };
    await expect(readTables(folderWith('undocumented', undocumented), scratch)).rejects.toThrow(
      'aParameters.gainDb has no doc comment',
    );
    const row = '/** Gain. */ gainDb: { default: 0, min: -1, max: 1 }';
    const table = `export const aParameters = { ${row} } as const;`;
    await expect(readTables(folderWith('twice', { 'a.ts': table, 'b.ts': table }), scratch)).rejects.toThrow(
      'a second aParameters',
    );
  });
});

describe('third-party notices', () => {
  it('name the innermost package of a path', () => {
    expect(packageFolder('node_modules/a/lib/x.js')).toBe('node_modules/a');
    expect(packageFolder('node_modules/a/node_modules/@s/b/x.js')).toBe('node_modules/a/node_modules/@s/b');
    expect(packageFolder('src/core/fft.ts')).toBeUndefined();
  });

  it('take the licence from a file or from the readme, and fail without either', () => {
    const manifest = '{"name":"a","version":"1.2.3","license":"MIT"}';
    const fromFile = folderWith('from-file', { 'package.json': manifest, 'LICENSE-MIT.txt': 'Text\r\nof it\n' });
    const fromReadme = folderWith('from-readme', {
      'package.json': manifest,
      'README.md': '# a\n\n## LICENSE\n\nText of it\n\n## More\n\nno\n',
    });
    const none = folderWith('none', { 'package.json': manifest, 'README.md': '# a\n' });
    expect(packageNotice(fromFile)).toBe('a 1.2.3 (MIT)\n\nText\nof it\n');
    expect(packageNotice(fromReadme)).toBe('a 1.2.3 (MIT)\n\nText of it\n');
    expect(() => packageNotice(none)).toThrow('no licence text');
  });
});
