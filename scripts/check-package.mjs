/**
 * `npm run package`: packs the built library as it would be published and asks two independent checkers about it:
 * publint (are the files that package.json names there, and of the kind it says?) and "are the types wrong" (does
 * TypeScript resolve every subpath, from ESM, CommonJS and bundlers?). Needs `npm run build` first.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const scratch = mkdtempSync(join(tmpdir(), 'batterhead-pack-'));

/**
 * @param {string} command
 * @param {string[]} args
 */
function run(command, args) {
  console.log(`\n$ ${command} ${args.join(' ')}`);
  const { status } = spawnSync(command, args, { stdio: ['ignore', 'inherit', 'inherit'] });
  if (status !== 0) throw new Error(`${command} found something wrong with the package`);
}

try {
  if (!existsSync('dist/index.js')) throw new Error('dist/ is missing: run `npm run build` first');
  // No scripts: `prepare` would build a second time, beneath the feet of whoever reads dist/.
  run('npm', ['pack', '--ignore-scripts', '--silent', '--pack-destination', scratch]);
  const [tarball] = readdirSync(scratch).filter((file) => file.endsWith('.tgz'));
  if (tarball === undefined) throw new Error('npm pack wrote no tarball');
  run('npx', ['--no-install', 'publint', 'run', join(scratch, tarball), '--strict']);
  // The processor script is no module. node16 leaves out the resolution of Node 10, which knows no `exports` and therefore no subpath.
  run('npx', [
    '--no-install',
    'attw',
    join(scratch, tarball),
    '--profile',
    'node16',
    '--exclude-entrypoints',
    './worklet/processors.js',
  ]);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
