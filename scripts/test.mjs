/**
 * `npm test`: the Vitest suite, then the allocation test in a process of its own, then one line that counts both.
 *
 * Arguments go to Vitest (`npm test -- tests/core`); the allocation test then stays out, because the run is partial.
 * The last line reads `N passed, N failed`; the exit code is 0 only if something passed and nothing failed.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { buildSync } from 'esbuild';

/** Counts garbage collections, so it needs a bundle that no test runner has instrumented, and flags of its own. */
const ALLOCATION_TEST = 'tests/allocation/run.ts';
const ALLOCATION_FLAGS = ['--expose-gc', '--max-semi-space-size=1'];

const scratch = mkdtempSync(join(tmpdir(), 'batterhead-test-'));
const total = { passed: 0, failed: 0 };

/**
 * @param {string} name
 * @param {{ passed: number, failed: number }} counts
 * @param {number | null} exitCode
 */
function add(name, counts, exitCode) {
  total.passed += counts.passed;
  total.failed += counts.failed;
  const stopped = exitCode !== 0 && counts.failed === 0;
  if (stopped || counts.passed + counts.failed === 0) {
    total.failed++;
    console.error(`${name}: ${stopped ? `stopped with exit code ${exitCode}` : 'ran no test'}`);
  }
}

function runVitest() {
  const countsFile = join(scratch, 'counts.json');
  const reporters = ['--reporter=default', `--reporter=${resolve('scripts/count-reporter.mjs')}`];
  const { status } = spawnSync(
    process.execPath,
    ['node_modules/vitest/vitest.mjs', 'run', ...reporters, ...process.argv.slice(2)],
    { stdio: ['ignore', 'inherit', 'inherit'], env: { ...process.env, TEST_COUNTS: countsFile } },
  );
  const counts = existsSync(countsFile) ? JSON.parse(readFileSync(countsFile, 'utf8')) : { passed: 0, failed: 0 };
  if (counts.skipped > 0) console.log(`${counts.skipped} skipped`);
  add('vitest', counts, status);
}

function runAllocationTest() {
  const bundle = join(scratch, 'allocation.mjs');
  buildSync({
    entryPoints: [ALLOCATION_TEST],
    outfile: bundle,
    bundle: true,
    platform: 'node',
    format: 'esm',
    target: 'node20',
    logLevel: 'error',
  });
  const { status, stdout } = spawnSync(process.execPath, [...ALLOCATION_FLAGS, bundle], {
    stdio: ['ignore', 'pipe', 'inherit'],
    encoding: 'utf8',
  });
  const lastLine = /^(\d+) passed, (\d+) failed\s*$/m.exec(stdout);
  process.stdout.write(stdout.replace(/^\d+ passed, \d+ failed\s*$/m, ''));
  add('allocation', { passed: Number(lastLine?.[1] ?? 0), failed: Number(lastLine?.[2] ?? 0) }, status);
}

try {
  runVitest();
  if (process.argv.length === 2) {
    if (existsSync(ALLOCATION_TEST)) runAllocationTest();
    else add(`allocation (${ALLOCATION_TEST})`, { passed: 0, failed: 0 }, 0);
  }
} catch (error) {
  total.failed++;
  console.error(error);
} finally {
  rmSync(scratch, { recursive: true, force: true });
}

console.log(`\n${total.passed} passed, ${total.failed} failed`);
process.exitCode = total.passed > 0 && total.failed === 0 ? 0 : 1;
