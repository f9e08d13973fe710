/**
 * `npm run mutation:page`: what the last `npm run mutation` found, as `docs/proofs/mutation.md`. Every fault that no test saw
 * is listed with its reason from `tests/mutation/reasons.json`; one without a reason is open. Says what is missing.
 */
import { existsSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { FOLDERS, reportOf } from './mutation-reports.mjs';

const REASONS = 'tests/mutation/reasons.json';
const PAGE = 'docs/proofs/mutation.md';

/**
 * @typedef {{ line: number, column: number }} Position
 * @typedef {{ status: string, mutatorName: string, replacement: string, location: { start: Position, end: Position } }} Mutant
 * @typedef {{ source: string, mutants: Mutant[] }} MutatedFile
 * @typedef {[original: string, replacement: string, reason: string]} Reason
 * @typedef {{ words: Record<string, string>, files: Record<string, Reason[]> }} Reasons `words` are short for reasons
 */

const missing = FOLDERS.filter((folder) => !existsSync(reportOf(folder)));
if (missing.length > 0)
  throw new Error(`no report of ${missing.join(', ')}: run npm run mutation -- ${missing.join(' ')}`);
/** @type {{ files: Record<string, MutatedFile>, testFiles: Record<string, { tests: unknown[] }> }[]} */
const reports = FOLDERS.map((folder) => JSON.parse(readFileSync(reportOf(folder), 'utf8')));
/** @type {Reasons} */
const { words, files: reasons } = JSON.parse(readFileSync(REASONS, 'utf8'));
const { thresholds } = JSON.parse(readFileSync('stryker.config.json', 'utf8'));

const oneLine = (/** @type {string} */ text) => text.replaceAll(/\s+/g, ' ').trim();
/** A cell of a table that shows code. @param {string} text */
const code = (text) => {
  const shown = (text.length > 90 ? `${text.slice(0, 87)}...` : text).replaceAll('|', '\\|');
  const fence = '`'.repeat(Math.max(0, ...[...shown.matchAll(/`+/g)].map(([run]) => run.length)) + 1);
  return fence === '`' ? `\`${shown}\`` : `${fence} ${shown} ${fence}`;
};

/** @param {string} source @param {Mutant} mutant */
function originalOf(source, { location: { start, end } }) {
  const lines = source.split('\n').slice(start.line - 1, end.line);
  lines[lines.length - 1] = lines[lines.length - 1].slice(0, end.column - 1);
  lines[0] = lines[0].slice(start.column - 1);
  return oneLine(lines.join('\n'));
}

/** Stryker's words, and the page's. */
const statuses = {
  Killed: 'a test failed',
  Timeout: 'never ended',
  Survived: 'not seen',
  NoCoverage: 'not reached',
  Ignored: 'left out',
};
const keys = Object.keys(statuses);
const counts = reports.map(({ files }) => {
  const statusOf = Object.values(files).flatMap(({ mutants }) => mutants.map(({ status }) => status));
  const stranger = statusOf.find((status) => !keys.includes(status));
  if (stranger !== undefined) throw new Error(`a fault is ${stranger}: neither seen nor not; run it again`);
  return Object.fromEntries(keys.map((key) => [key, statusOf.filter((status) => status === key).length]));
});

/** @type {{ path: string, line: number, original: string, replacement: string, reason: string | undefined }[]} */
const survivors = [];
const used = new Set();
for (const [path, { source, mutants }] of reports.flatMap(({ files }) => Object.entries(files).sort())) {
  for (const mutant of mutants) {
    if (mutant.status !== 'Survived' && mutant.status !== 'NoCoverage') continue;
    const original = originalOf(source, mutant);
    const replacement = oneLine(mutant.replacement);
    const entry = reasons[path]?.find(([was, became]) => was === original && became === replacement);
    used.add(entry);
    const reason = entry && (words[entry[2]] ?? entry[2]);
    survivors.push({ path, line: mutant.location.start.line, original, replacement, reason });
  }
}

/** @param {Record<string, number>} count */
function score(count) {
  const found = count.Killed + count.Timeout;
  return (100 * found) / (found + count.Survived + count.NoCoverage);
}

const total = Object.fromEntries(keys.map((key) => [key, counts.reduce((sum, count) => sum + count[key], 0)]));
const open = survivors.filter(({ reason }) => reason === undefined);
const stale = Object.entries(reasons).flatMap(([path, entries]) =>
  entries
    .filter((entry) => !used.has(entry))
    .map(([original, replacement]) => `${path}: ${original} -> ${replacement}`),
);

/** @param {(string | number)[]} cells */
const row = (cells) => `| ${cells.join(' | ')} |`;
const line = (/** @type {string} */ name, /** @type {Record<string, number>} */ count) =>
  row([name, ...keys.map((status) => count[status]), `${score(count).toFixed(1)} %`]);
const testFiles = reports.flatMap((report) => Object.values(report.testFiles));
const testCount = testFiles.reduce((sum, { tests }) => sum + tests.length, 0);
const days = FOLDERS.map((folder) => statSync(reportOf(folder)).mtime.toISOString().slice(0, 10)).sort();

/** @param {string} path */
function table(path) {
  const rows = survivors.filter((survivor) => survivor.path === path);
  return [
    `### ${path}`,
    '',
    row(['line', 'was', 'became', 'reason']),
    row(['---', '---', '---', '---']),
    ...rows.map((s) => row([s.line, code(s.original), code(s.replacement), s.reason ?? '**open**'])),
  ].join('\n');
}

const text = `# Mutation: what the tests would see

Faults planted one at a time in the sources: an operator, a number, a condition, a text changed, a statement left out. A fault
is found if a test fails, or turns 30 times as often as without the fault. Each meets tests of its own folder within a budget
of time (\`tests/mutation/runner.mjs\`), so that the score is a lower bound. Faults that act while a module loads
are left out. Score: found of all that ran; ${thresholds.break} % is demanded.

Measured until ${days.at(-1)} with ${testCount} tests of ${testFiles.length} files. Written by \`npm run mutation:page\` from the reports of
\`npm run mutation\`.

${row(['folder', ...Object.values(statuses), 'score'])}
${row(['---', ...keys.map(() => '---:'), '---:'])}
${FOLDERS.map((folder, i) => line(`\`${folder}\``, counts[i])).join('\n')}
${line('all', total)}

## What no test saw

${survivors.length} faults, ${open.length} of them without a reason.

${[...new Set(survivors.map(({ path }) => path))].map(table).join('\n\n')}
`;

writeFileSync(`${PAGE}.new`, text);
renameSync(`${PAGE}.new`, PAGE);
process.stdout.write(
  `${PAGE}: ${score(total).toFixed(2)} %, ${survivors.length} not seen, ${open.length} without a reason\n`,
);
for (const entry of stale) process.stdout.write(`reason without a fault: ${entry}\n`);
if (open.length > 0 || stale.length > 0) process.exitCode = 1;
