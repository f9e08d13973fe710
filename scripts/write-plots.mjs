/** `npm run docs:plots`: draws the pictures of all blocks anew into `docs/plots/`, by the test that holds them. */
import { spawnSync } from 'node:child_process';

const { status } = spawnSync('npx', ['--no-install', 'vitest', 'run', 'tests/docs'], {
  env: { ...process.env, WRITE_PLOTS: '1' },
  stdio: 'inherit',
});
process.exitCode = status ?? 1;
