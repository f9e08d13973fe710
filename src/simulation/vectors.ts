/**
 * Points and directions in the room: `[x, y, z]` in metres.
 *
 *     z up
 *     |   y towards the audience
 *     |  /
 *     | /
 *     +-------- x to the right of a drummer who looks at the audience
 *
 * The origin is the corner on the floor behind the drummer, to the left.
 *
 * @module
 */

/** A point or direction `[x, y, z]`, in metres. */
export type Vector = readonly [number, number, number];

/** The way from `a` to `b`. */
export function wayFrom(a: Vector, b: Vector): Vector {
  return [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
}

export function dot(a: Vector, b: Vector): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

export function lengthOf(a: Vector): number {
  return Math.sqrt(dot(a, a));
}

/** Cosine of the angle between two directions, of any length above 0. */
export function cosineBetween(a: Vector, b: Vector): number {
  return dot(a, b) / (lengthOf(a) * lengthOf(b));
}
