/**
 * Hits as a table: one line for each, comma-separated, for spreadsheets and other programs.
 *
 *     drum,sample,velocityDb,velocity,confidence,source
 *     snare,24117.25,-11.3,92.5,0.97,detected
 *
 * Numbers are written in full, so that nothing is lost on the way there and back. A reader finds columns by their names:
 * `drum`, `sample` and one of the two velocities are needed, and any other column is left alone.
 *
 * Source: Y. Shafranovich, RFC 4180, 2005 (quotes, and line ends, of which a bare line feed is read too).
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { requireText } from '../core/json-check.ts';
import { type Hit, type HitList, hitListOf, hitMembers, hitRanges } from './hit-list.ts';
import { dbOfVelocity, velocityOfDb } from './velocity.ts';

/** The hits of a list as CSV; its rejections and deletions are not written. */
export function hitsToCsv(list: HitList): string {
  const lines = list.hits.map((hit) => hitMembers.map((name) => quoted(String(hit[name]))).join(','));
  return [hitMembers.join(','), ...lines, ''].join('\r\n');
}

/**
 * Reads hits from CSV; their source becomes `imported`. A velocity that is missing follows from the other by
 * the default curve; confidence is 1 unless given.
 *
 * @throws TypeError or RangeError with the line of the first fault: `line 3: velocity must be 0 to 127, got 300`
 */
export function hitsFromCsv(text: string, sampleRateHz: number): HitList {
  const [header, ...rows] = recordsOf(text);
  const names = header?.map((name) => name.trim()) ?? [];
  for (const name of ['drum', 'sample']) {
    if (!names.includes(name)) throw new TypeError(`line 1: must name the column ${name}, got ${names.join(',')}`);
  }
  const hits = rows.map((cells, index) =>
    hitOf(`line ${index + 2}: `, new Map(names.map((name, c) => [name, cells[c]]))),
  );
  const { min, max } = hitRanges.sampleRateHz;
  return hitListOf(requireRange('hitsFromCsv: sampleRateHz', sampleRateHz, min, max), hits);
}

function hitOf(prefix: string, cells: ReadonlyMap<string, string | undefined>): Hit {
  const number = (name: Exclude<keyof typeof hitRanges, 'sampleRateHz'>): number | undefined => {
    const cell = cells.get(name)?.trim() ?? '';
    const { min, max } = hitRanges[name];
    return cell === '' ? undefined : requireRange(`${prefix}${name}`, Number(cell), min, max);
  };
  const sample = number('sample');
  const velocityDb = number('velocityDb');
  const velocity = number('velocity') ?? (velocityDb === undefined ? undefined : velocityOfDb(velocityDb));
  if (sample === undefined) throw new TypeError(`${prefix}sample must be a number, got nothing`);
  if (velocity === undefined) throw new TypeError(`${prefix}velocity or velocityDb must be a number, got nothing`);
  return {
    drum: requireText(`${prefix}drum`, cells.get('drum')),
    sample,
    velocityDb: velocityDb ?? dbOfVelocity(velocity),
    velocity,
    confidence: number('confidence') ?? 1,
    source: 'imported',
  };
}

function quoted(cell: string): string {
  return /[",\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;
}

/** Lines as lists of cells, empty lines left out. */
function recordsOf(text: string): string[][] {
  const records: string[][] = [[]];
  for (const [, plain, inQuotes, end] of text.matchAll(/(?:"((?:[^"]|"")*)"|([^,\r\n]*))(,|\r\n|\n|\r|$)/g)) {
    records[records.length - 1].push(plain === undefined ? inQuotes : plain.replaceAll('""', '"'));
    if (end !== ',') records.push([]);
  }
  return records.filter((cells) => cells.some((cell) => cell !== ''));
}
