/**
 * State arrays as JSON and back, exact to the last bit.
 * @module
 */
import type { SavedState } from './processor.ts';

/** The arrays' contents as JSON values. */
export function packArrays(arrays: readonly Float64Array[]): (number | '-0')[][] {
  return arrays.map((array) => Array.from(array, (x) => (Object.is(x, -0) ? '-0' : x)));
}

/** Throws unless `saved` came from a like object: same owner, as many arrays of the same lengths, as many parts. */
export function requireLike(owner: string, saved: SavedState, arrays: readonly Float64Array[], parts: number): void {
  if (saved.owner !== owner) throw new TypeError(`${owner}: saved state must be of a ${owner}, got ${saved.owner}`);
  const fits =
    saved.parts.length === parts &&
    saved.arrays.length === arrays.length &&
    saved.arrays.every((values, a) => values.length === arrays[a].length);
  const finite = saved.arrays.every((values) => values.every((x) => x === '-0' || Number.isFinite(x)));
  if (!finite) throw new RangeError(`${owner}: saved state must hold finite numbers only`);
  if (!fits) throw new RangeError(`${owner}: saved state must come from the same format and fixed options`);
}

/** Writes packed contents back. */
export function unpackArrays(packed: SavedState['arrays'], arrays: readonly Float64Array[]): void {
  packed.forEach((values, a) => {
    values.forEach((x, i) => (arrays[a][i] = Number(x)));
  });
}
