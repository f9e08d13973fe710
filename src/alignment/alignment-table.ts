/**
 * An alignment as a table that a person reads.
 *
 * @module
 */
import type { KitAlignment, PairAlignment } from './kit-alignment.ts';

/**
 * What is done to each microphone, and what each pair measured. Plain text in columns, a line for each.
 *
 * @param sampleRateHz - to tell delays in milliseconds, too
 */
export function alignmentTable(alignment: KitAlignment, sampleRateHz: number): string {
  const ms = (samples: number): string => ((samples / sampleRateHz) * 1000).toFixed(3);
  const moves = Object.entries(alignment.moves).map(([name, { delaySamples, polarity }]) => [
    name,
    delaySamples.toFixed(2),
    ms(delaySamples),
    polarity === 1 ? 'as it is' : 'inverted',
  ]);
  const pairs = alignment.pairs.map(({ reference, other, drum, estimate, residualSamples, ...pair }) => [
    drum,
    `${reference} - ${other}`,
    estimate.delaySamples.toFixed(2),
    ms(estimate.delaySamples),
    estimate.polarity === 1 ? '+' : '-',
    estimate.confidence.toFixed(2),
    residualSamples.toFixed(2),
    remark({ estimate, ...pair }),
  ]);
  return [
    ...columns([['microphone', 'moved by samples', 'ms', 'polarity'], ...moves], 1, 2),
    '',
    ...columns(
      [['drum', 'pair', 'later by samples', 'ms', 'sign', 'confidence', 'left over', 'remarks'], ...pairs],
      2,
      6,
    ),
    '',
  ].join('\n');
}

function remark({ note, estimate }: Pick<PairAlignment, 'note' | 'estimate'>): string {
  return [...(note === '' ? [] : [note]), ...estimate.reasons].join('; ');
}

/** Lines of equal columns, two spaces apart; those from `firstNumber` to `lastNumber` end flush right. */
function columns(rows: readonly (readonly string[])[], firstNumber: number, lastNumber: number): string[] {
  const widths = rows[0].map((_, c) => rows.reduce((most, row) => Math.max(most, row[c].length), 0));
  return rows.map((row) =>
    row
      .map((cell, c) => (c >= firstNumber && c <= lastNumber ? cell.padStart(widths[c]) : cell.padEnd(widths[c])))
      .join('  ')
      .trimEnd(),
  );
}
