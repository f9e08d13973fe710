/**
 * Bundles and runs one benchmark of `bench/`: `node scripts/bench.mjs alias-table docs/aliasing.md`. The pages that it
 * writes are formatted by the project's rules, so that they can be committed. What follows `--` goes to the benchmark.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { buildSync } from 'esbuild';

const given = process.argv.slice(2);
const end = given.indexOf('--');
const [name = '', ...pages] = end < 0 ? given : given.slice(0, end);
const parameters = end < 0 ? [] : given.slice(end + 1);
mkdirSync('temp', { recursive: true });
const scratch = mkdtempSync(join('temp', 'bench-')); // in here, for packages to be found
try {
  const outfile = join(scratch, 'bench.mjs');
  buildSync({
    entryPoints: [`bench/${name}.ts`],
    outfile,
    bundle: true,
    packages: 'external',
    platform: 'node',
    format: 'esm',
    target: 'node20',
    logLevel: 'error',
  });
  const { status } = spawnSync(process.execPath, [outfile, ...parameters], { stdio: 'inherit' });
  if (status === 0 && pages.length > 0) spawnSync('npx', ['--no-install', 'prettier', '--write', ...pages]);
  process.exitCode = status ?? 1;
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
