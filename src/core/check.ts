/**
 * Checks of arguments: TypeError for a wrong type, RangeError for a wrong value, each naming what was wrong, what is
 * allowed and what was given.
 *
 * @module
 */

/** A value as a message shows it, whatever it is. */
export function describe(value: unknown): string {
  try {
    return ['string', 'object'].includes(typeof value) ? JSON.stringify(value) : String(value);
  } catch {
    return typeof value; // a circle, or a bigint in it
  }
}

/** Throws the error of a check: `Gate: attackMs must be 0 to 1000, got -3`. */
export function refuse(
  name: string,
  demand: string,
  value: unknown,
  Kind: new (message: string) => Error = RangeError,
): never {
  throw new Kind(`${name} must be ${demand}, got ${describe(value)}`);
}

/** @throws TypeError if `value` is not a number; `range` says which */
export function requireNumber(name: string, value: unknown, range = ''): asserts value is number {
  if (typeof value !== 'number') refuse(name, `a number${range}`, value, TypeError);
}

/**
 * Returns `value` if it is a number from `min` to `max`.
 *
 * @param name - owner and parameter, with its unit: `Gate: attackMs`
 * @throws TypeError if `value` is not a number, RangeError if it is NaN or out of range
 */
export function requireRange(name: string, value: unknown, min: number, max: number): number {
  requireNumber(name, value, ` from ${min} to ${max}`);
  if (!(value >= min && value <= max)) refuse(name, `${min} to ${max}`, value);
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
  if (!Number.isInteger(number)) refuse(name, `a whole number from ${min} to ${max}`, number);
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
  const likeness = (candidate: string): number =>
    sharedPairs(name.toLowerCase(), candidate.toLowerCase()) / (name.length + candidate.length);
  return known.reduce(
    (nearest, candidate) => (likeness(candidate) > likeness(nearest) ? candidate : nearest),
    known[0] ?? '',
  );
}

function sharedPairs(a: string, b: string): number {
  let shared = 0;
  for (let i = 1; i < a.length; i++) if (b.includes(a.slice(i - 1, i + 1))) shared++;
  return shared;
}
