/** The library beside its rivals, as a section of the page. */
import { digits, table } from './markdown.ts';
import type { RivalResults, WorkResult } from './results.ts';
import { type RivalWork, rivalWorks, type Target, WITH_SIMD } from './rivals/works.ts';
import { median } from './statistics.ts';

/** The library's ratio to a rival in each run; NaN where it was not there. */
const ratios = ({ runs }: WorkResult, rival: string): number[] => runs.map((run) => run[rival]?.ratio ?? NaN);

/** How far the runs lie apart. */
function apartPercent(values: readonly number[]): number {
  return (100 * (Math.max(...values) - Math.min(...values))) / median(values);
}

function targetRow({ name }: RivalWork, { rival, most, simd, reason }: Target, result: WorkResult): string[] {
  const plain = ratios(result, rival);
  const gain = ratios(result, WITH_SIMD); // plain over SIMD, in the same run
  const measured = simd ? plain.map((ratio, r) => ratio / gain[r]) : plain;
  const label = `${name}${simd ? ', with SIMD' : ''}, over ${rival}`,
    target = `<= ${digits(most)}`;
  if (measured.some(Number.isNaN)) return [label, target, '-', '-', '-', 'not measured on this machine'];
  const ratio = median(measured);
  return [
    label,
    target,
    digits(ratio),
    measured.map(digits).join(' '),
    `${apartPercent(measured).toFixed(0)} %`,
    ratio <= most ? 'met' : `not met${reason ? `: ${reason}` : ''}`,
  ];
}

function workRows({ name, otherwise = {} }: RivalWork, result: WorkResult): string[][] {
  return Object.keys(result.runs[0]).map((rival, i) => [
    i === 0 ? `**${name}**` : `${rival}${rival in otherwise ? ` (≠ ${otherwise[rival]})` : ''}`,
    digits(median(result.runs.map((run) => run[rival].nanoseconds))),
    i === 0 ? '' : digits(median(ratios(result, rival))),
  ]);
}

export function rivalsSection({ missing, works }: RivalResults): string {
  const done = rivalWorks.flatMap((work) => {
    const result = works.find(({ name }) => name === work.name);
    return result ? [{ work, result }] : [];
  });
  return `## Targets

The library's processor time over that of another program for the same work, in one run: contestants take turns, round by
round, each in a process of its own. Three runs, and how far they lie apart; their median counts. The C++ does the same
operations in the same order, compiled by g++ with \`-O3 -march=native\`, and its output is compared with the library's before
it is timed.

${table(
  ['ratio', 'target', 'measured', 'runs', 'apart', ''],
  done.flatMap(({ work, result }) => work.targets.map((target) => targetRow(work, target, result))),
)}

## Rivals

ns per sample and channel, and the library's time over it. Rivals marked ≠ do something else for the same purpose: those
ratios are for orientation. Programs that read files are given a minute, and what they need to read it is taken off; Web
Audio engines render offline, less an empty graph.${missing.length > 0 ? ` Not on this machine: ${missing.join(', ')}.` : ''}

${table(
  ['work, and who does it', 'ns', 'ours over it'],
  done.flatMap(({ work, result }) => workRows(work, result)),
)}

Written by \`npm run bench:rivals\`.`;
}
