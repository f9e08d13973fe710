/**
 * Tables of text.
 * @module
 */

/** Columns of one width each: the first `texts` of them are texts, to the left; the others are numbers, to the right. */
export function table(head: readonly string[], rows: readonly (readonly string[])[], texts = 1): string {
  const lines = [head, ...rows];
  const widths = head.map((_, c) => Math.max(...lines.map((line) => line[c].length)));
  const format = (line: readonly string[]) =>
    line
      .map((cell, c) => (c < texts ? cell.padEnd(widths[c]) : cell.padStart(widths[c])))
      .join('  ')
      .trimEnd();
  return [format(head), widths.map((width) => '-'.repeat(width)).join('  '), ...rows.map(format)].join('\n');
}
