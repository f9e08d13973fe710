/**
 * What loops over vectors share.
 */

/** A number in both lanes, by way of memory at `room`: a constant would be made anew by the engine in every turn of a loop. */
export function held(room: usize, value: f64): v128 {
  f64.store(room, value);
  return v128.load64_splat(room);
}

/** table[i] + between (table[i + 1] - table[i]), with an i and a `between` for each lane. */
export function interpolate(table: usize, first: i32, second: i32, between: v128): v128 {
  const a = v128.load(table + ((<usize>first) << 3)),
    b = v128.load(table + ((<usize>second) << 3));
  const entry = v128.shuffle<f64>(a, b, 0, 2),
    next = v128.shuffle<f64>(a, b, 1, 3);
  return f64x2.add(entry, f64x2.mul(between, f64x2.sub(next, entry)));
}
