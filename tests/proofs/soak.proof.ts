/**
 * A day and a night of the demo session without a stop: what it is like in its last hour is what it was in its first.
 * `SOAK_HOURS` of sound, 24 unless given: an hour of one core and more.
 */
import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { promisify } from 'node:util';
import { buildSync } from 'esbuild';
import { afterAll, expect, it } from 'vitest';
import { writeProofPage } from '../support/proof-page.ts';
import type { SoakHour } from './soak-session.ts';

const hours = Number(process.env['SOAK_HOURS'] ?? 24);
const folder = mkdtempSync(join(tmpdir(), 'batterhead-soak-'));
let told: SoakHour[] = [];

afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
  writeProofPage(
    'soak',
    'Soak',
    `The demo session, its recordings over and over for ${told.length} h of sound in one render, with the SIMD kernels. ` +
      'The seventeenth turn of the recordings is kept, and every sample of every later turn is compared with it: nothing drifts, ' +
      'and from 12.5 h on counters pass 2^31 samples. `SOAK_HOURS` says how long.',
    [
      {
        title: 'Hour by hour',
        header: [
          'hour',
          'mean, dBFS',
          'peak, dBFS',
          'not finite',
          'samples compared',
          'largest difference',
          'CPU s',
          'resident MB',
        ],
        rows: told.map(({ hour, meanDb, peakDb, nonFinite, compared, difference, cpuSeconds, residentMb }) => [
          hour,
          meanDb.toFixed(4),
          peakDb.toFixed(4),
          nonFinite,
          compared,
          difference,
          cpuSeconds.toFixed(0),
          residentMb.toFixed(0),
        ]),
      },
    ],
  );
});

it(
  'every turn of the recordings sounds as the one that was kept, and costs no more',
  async () => {
    const script = join(folder, 'soak.mjs');
    buildSync({
      entryPoints: [resolve('tests/proofs/soak-session.ts')],
      outfile: script,
      bundle: true,
      platform: 'node',
      format: 'esm',
      logLevel: 'silent',
    });
    const { stdout } = await promisify(execFile)(process.execPath, [script, String(hours)]);
    told = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as SoakHour);
    expect(told).toHaveLength(hours);
    const [first] = told;
    for (const { meanDb, peakDb, nonFinite, compared, difference, residentMb } of told) {
      expect(nonFinite).toBe(0);
      expect(compared).toBeGreaterThan(1e8);
      expect(difference).toBe(0);
      expect(peakDb).toBeLessThanOrEqual(-5);
      expect(Math.abs(meanDb - first.meanDb)).toBeLessThan(0.01);
      expect(residentMb).toBeLessThan(first.residentMb + 50);
    }
  },
  6 * 3_600_000,
);
