/**
 * Runs tests that hold files, and lets them write these files anew: `npm run docs:plots` for the pictures of all blocks,
 * `npm run golden` for the sums of renders.
 *
 *     node scripts/accept.mjs WRITE_PLOTS tests/docs
 */
import { spawnSync } from 'node:child_process';

const [permission, tests] = process.argv.slice(2);
const { status } = spawnSync('npx', ['--no-install', 'vitest', 'run', tests], {
  env: { ...process.env, [permission]: '1' },
  stdio: 'inherit',
});
process.exitCode = status ?? 1;
