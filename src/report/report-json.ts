/**
 * Report of a mix as JSON, with every list of numbers on one line.
 * @module
 */
import type { MixFileReport } from './mix-file-report.ts';

/** The report as text. Silence, and whatever has no figure, is null. */
export function reportJson(report: MixFileReport): string {
  // JSON has no infinities: it writes null for them, as for what is null already.
  const lines = JSON.stringify(report, null, 2);
  return `${lines.replace(/\[\s+(?:(?:-?\d[^\s,]*|null),?\s+)+\]/g, (list) => list.replace(/\s+/g, ' '))}\n`;
}
