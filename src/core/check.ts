/**
 * Checks of arguments: TypeError for a wrong type, RangeError for a wrong value, each naming what was wrong, what is
 * allowed and what was given.
 *
 * @module
 */

/**
 * Returns `value` if it is a number from `min` to `max`.
 *
 * @param name - owner and parameter, with its unit: `Gate: attackMs`
 * @throws TypeError if `value` is not a number, RangeError if it is NaN or out of range
 */
export function requireRange(name: string, value: unknown, min: number, max: number): number {
  if (typeof value !== 'number') throw new TypeError(`${name} must be a number, got ${show(value)}`);
  if (!(value >= min && value <= max)) throw new RangeError(`${name} must be ${min} to ${max}, got ${value}`);
  return value;
}

/**
 * Returns `value` if it is a whole number from `min` to `max`.
 *
 * @param name - owner and parameter: `Butterworth: order`
 * @throws TypeError if `value` is not a number, RangeError if it is not whole or out of range
 */
export function requireInteger(name: string, value: unknown, min: number, max: number): number {
  const number = requireRange(name, value, min, max);
  if (Math.floor(number) !== number) throw new RangeError(`${name} must be a whole number, got ${number}`);
  return number;
}

/**
 * The name in `known` that takes the fewest edits to reach from `name`, capitals apart; the first of equals, and ''
 * if `known` is empty. An edit inserts, deletes or replaces one letter.
 *
 * Source: V. I. Levenshtein, "Binary codes capable of correcting deletions, insertions, and reversals", Soviet Physics
 * Doklady 10(8), 1966.
 */
export function nearestName(name: string, known: readonly string[]): string {
  let nearest = '';
  let fewest = Infinity;
  for (const candidate of known) {
    const edits = editDistance(name.toLowerCase(), candidate.toLowerCase());
    if (edits < fewest) {
      fewest = edits;
      nearest = candidate;
    }
  }
  return nearest;
}

function editDistance(from: string, to: string): number {
  let row = Array.from({ length: to.length + 1 }, (_, j) => j); // edits from the first i letters to the first j
  for (let i = 1; i <= from.length; i++) {
    const above = row;
    row = [i];
    for (let j = 1; j <= to.length; j++) {
      const replaced = above[j - 1] + (from[i - 1] === to[j - 1] ? 0 : 1);
      row.push(Math.min(replaced, above[j] + 1, row[j - 1] + 1));
    }
  }
  return row[to.length];
}

function show(value: unknown): string {
  if (typeof value === 'string') return JSON.stringify(value);
  return value === null ? 'null' : Array.isArray(value) ? 'an array' : typeof value;
}
