/**
 * Golden renders: the SHA-256 of what every block and the demo mix give. They prove nothing about right or wrong; they
 * prove that nothing changed unnoticed. Whoever changes a sample writes a line under **Sound** in the changelog and then
 * runs `npm run golden`, which accepts no new sums as long as that section is the old one.
 */
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { expect, it } from 'vitest';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { simulateFolder } from '../../src/node/simulate-folder.ts';
import { browserCases } from '../browsers/cases.ts';
import { expectedDigest } from '../browsers/expected.ts';

const FILE = resolve(import.meta.dirname, 'golden.json');
const CHANGELOG = resolve(import.meta.dirname, '../../CHANGELOG.md');

/** The sums, and that of the changelog's section on samples when they were taken. */
interface Golden {
  readonly sound: string;
  readonly renders: Readonly<Record<string, string>>;
}

const soundOf = (changelog: string): string => {
  const [, section = ''] = /^### Sound$([\s\S]*?)^##/m.exec(changelog) ?? [];
  return createHash('sha256').update(section.trim()).digest('hex');
};

async function renders(): Promise<Record<string, string>> {
  const sums: Record<string, string> = {};
  for (const one of browserCases) sums[one.name] = await expectedDigest(one);
  const folder = mkdtempSync(join(tmpdir(), 'batterhead-golden-'));
  try {
    simulateFolder(folder, { bars: 1 });
    sums['demo mix'] = (await mixPlanFile(join(folder, 'plan.json'))).mix.sha256;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return sums;
}

it('gives the sums of the last change that the changelog tells of', { timeout: 120_000 }, async () => {
  const golden = JSON.parse(readFileSync(FILE, 'utf8')) as Golden;
  const sums = await renders();
  const changed = Object.keys({ ...golden.renders, ...sums }).filter((name) => sums[name] !== golden.renders[name]);
  const sound = soundOf(readFileSync(CHANGELOG, 'utf8'));
  if (process.env['WRITE_GOLDEN'] !== undefined && (changed.length === 0 || sound !== golden.sound)) {
    writeFileSync(FILE, `${JSON.stringify({ sound, renders: sums }, null, 2)}\n`);
    return;
  }
  expect(changed, 'samples changed: tell it under Sound in CHANGELOG.md, then `npm run golden`').toEqual([]);
});

it('knows every sum by a name of its own', () => {
  const { renders: sums } = JSON.parse(readFileSync(FILE, 'utf8')) as Golden;
  expect(Object.keys(sums).length).toBeGreaterThan(24);
  expect(new Set(Object.values(sums)).size).toBe(Object.keys(sums).length);
});
