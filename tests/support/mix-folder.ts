/** A folder in which mixes are killed: what may be there afterwards, and what may not. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { sha256OfFile } from '../../src/node/files.ts';
import type { MixFileReport } from '../../src/report/mix-file-report.ts';

const FILES = ['mix.wav', 'unprocessed.wav'] as const;

/** Checksums of the files of a whole mix. */
export type Whole = Readonly<Record<(typeof FILES)[number], string>>;

export function wholeMix(folder: string): Whole {
  const [mix, unprocessed] = FILES.map((file) => sha256OfFile(join(folder, file)));
  return { 'mix.wav': mix, 'unprocessed.wav': unprocessed };
}

/** What a killed mix has left: the earlier one as it was, the new one, or files of both, which no report may vouch for. */
export type Left = 'earlier' | 'new' | 'no report' | 'nothing';

/** @throws Error if a file with its final name is neither that of the earlier mix nor that of the new one, or a report lies */
export function whatIsLeft(folder: string, earlier: Whole | undefined, later: Whole): Left {
  const there = FILES.filter((file) => existsSync(join(folder, file)));
  const found = there.map((file) => [file, sha256OfFile(join(folder, file))] as const);
  for (const [file, sha256] of found) {
    if (sha256 !== earlier?.[file] && sha256 !== later[file]) throw new Error(`${file} is half written`);
  }
  if (!existsSync(join(folder, 'report.json'))) return there.length === 0 ? 'nothing' : 'no report';
  const report = JSON.parse(readFileSync(join(folder, 'report.json'), 'utf8')) as MixFileReport;
  const told: Whole = { 'mix.wav': report.mix.sha256, 'unprocessed.wav': report.unprocessed.sha256 };
  if (there.length < 2 || found.some(([file, sha256]) => sha256 !== told[file])) throw new Error('report.json lies');
  return told['mix.wav'] === later['mix.wav'] ? 'new' : 'earlier';
}
