/** Tables of the page. */

const row = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`;

/** The first column to the left, the others to the right. */
export function table(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const rule = header.map((_, c) => (c === 0 ? '---' : '---:'));
  return [header, rule, ...rows].map(row).join('\n');
}

/** Three digits, or what stands before the point. */
export const digits = (value: number): string =>
  value >= 100 ? value.toFixed(0) : value >= 10 ? value.toFixed(1) : value.toFixed(2);
