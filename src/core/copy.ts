/**
 * Copying a stretch of samples from array to array, without a view that would be allocated.
 * @module
 */

/**
 * Copies `from[at .. at + count)` to `to[place ..)`. A whole array goes at once; of others four samples go at a time,
 * because an engine looks at an array anew in every turn of a loop.
 */
export function copy(from: Float64Array, at: number, to: Float64Array, place: number, count: number): void {
  if (count === from.length) {
    to.set(from, place);
    return;
  }
  let i = 0;
  for (; i < count - 3; i += 4) {
    const a = from[at + i],
      b = from[at + i + 1],
      c = from[at + i + 2],
      d = from[at + i + 3];
    to[place + i] = a;
    to[place + i + 1] = b;
    to[place + i + 2] = c;
    to[place + i + 3] = d;
  }
  for (; i < count; i++) to[place + i] = from[at + i];
}
