/**
 * Pages of `docs/proofs/`: what a proof measured, written by the proof itself.
 */
import { mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';

/** A table of results: a header and its rows. */
export interface ProofTable {
  readonly title: string;
  readonly header: readonly string[];
  readonly rows: readonly (readonly (string | number)[])[];
}

const row = (cells: readonly (string | number)[]): string => `| ${cells.join(' | ')} |`;

function table({ title, header, rows }: ProofTable): string {
  return [`## ${title}`, '', row(header), row(header.map(() => '---')), ...rows.map(row)].join('\n');
}

/** Writes `docs/proofs/<name>.md`: what was tried, by which command, and the tables of what came out. */
export function writeProofPage(name: string, title: string, text: string, tables: readonly ProofTable[]): void {
  const folder = resolve('docs/proofs');
  const path = resolve(folder, `${name}.md`);
  mkdirSync(folder, { recursive: true });
  const command = `Written by \`npm run proofs -- ${name}\`.`;
  writeFileSync(`${path}.new`, `${[`# ${title}`, text, command, ...tables.map(table)].join('\n\n')}\n`);
  renameSync(`${path}.new`, path);
}
