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
 * The name in `known` that has the most pairs of neighbouring letters in common with `name`, capitals apart, for the
 * letters that both have; the first of equals, and '' if `known` is empty.
 *
 * Source: L. R. Dice, "Measures of the Amount of Ecologic Association Between Species", Ecology 26(3), 1945, applied to
 * pairs of letters.
 */
export function nearestName(name: string, known: readonly string[]): string {
  let nearest = known[0] ?? '',
    highest = 0;
  for (const candidate of known) {
    const likeness = sharedPairs(name.toLowerCase(), candidate.toLowerCase()) / (name.length + candidate.length);
    if (likeness > highest) {
      highest = likeness;
      nearest = candidate;
    }
  }
  return nearest;
}

function sharedPairs(a: string, b: string): number {
  let shared = 0;
  for (let i = 1; i < a.length; i++) if (b.includes(a[i - 1] + a[i])) shared++;
  return shared;
}

function show(value: unknown): string {
  if (typeof value === 'string') return JSON.stringify(value);
  return value === null ? 'null' : Array.isArray(value) ? 'an array' : typeof value;
}
