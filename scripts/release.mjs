/**
 * `npm run release:check`: what a release needs beyond green checks. The changelog has a section for this version with a
 * date, nothing is left under Unreleased, the tag (`--check v1.2.3`) is the version of package.json, the working tree is
 * clean. Without a tag it says what is missing for one, and publishes nothing.
 */
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';

const tag = process.argv[process.argv.indexOf('--check') + 1];
const { version } = JSON.parse(readFileSync('package.json', 'utf8'));
const changelog = readFileSync('CHANGELOG.md', 'utf8');

/** @type {string[]} */
const missing = [];
if (process.argv.includes('--check') && tag !== `v${version}`) {
  missing.push(`the tag must be v${version}, as package.json has it, got ${tag}`);
}
if (!new RegExp(`^## ${version.replaceAll('.', '\\.')} - \\d{4}-\\d{2}-\\d{2}$`, 'm').test(changelog)) {
  missing.push(`CHANGELOG.md must have a section "## ${version} - YYYY-MM-DD"`);
}
const unreleased = /^## Unreleased\n([\s\S]*?)(?=^## |$(?![\s\S]))/m.exec(changelog)?.[1] ?? '';
if (/^- /m.test(unreleased)) missing.push('CHANGELOG.md must have nothing left under Unreleased');
if (execFileSync('git', ['status', '--porcelain'], { encoding: 'utf8' }) !== '')
  missing.push('the working tree must be clean');

for (const what of missing) console.error(`release: ${what}`);
if (missing.length === 0) console.log(`release: v${version} is ready`);
process.exitCode = missing.length === 0 ? 0 : 1;
