/**
 * The clipping curves of `src/saturation/curves.ts` and `tanhInPlace` of `src/core/maths.ts` with two numbers to a vector, by
 * the same operations in the same order. Each replaces y by c f(g y); `k` is the address of g and c, with room for a number
 * behind. One number more than `count` may be written.
 */
import { held, interpolate } from './parts/vectors';

/** The straight cut. */
export function hardClip(y: usize, count: i32, k: usize): void {
  const gain = v128.load64_splat(k),
    ceiling = v128.load64_splat(k, 8),
    one = held(k + 16, 1),
    minusOne = held(k + 16, -1);
  for (const end = y + ((<usize>count) << 3); y < end; y += 16) {
    const u = f64x2.mul(gain, v128.load(y));
    v128.store(y, f64x2.mul(ceiling, f64x2.pmax(f64x2.pmin(u, one), minusOne)));
  }
}

/** The cubic. */
export function cubicClip(y: usize, count: i32, k: usize): void {
  const gain = v128.load64_splat(k),
    ceiling = v128.load64_splat(k, 8),
    one = held(k + 16, 1),
    minusOne = held(k + 16, -1),
    cubic = held(k + 16, 4.0 / 27),
    end = held(k + 16, 1.5),
    minusEnd = held(k + 16, -1.5);
  for (const stop = y + ((<usize>count) << 3); y < stop; y += 16) {
    const u = f64x2.mul(gain, v128.load(y));
    const inside = f64x2.sub(u, f64x2.mul(f64x2.mul(f64x2.mul(cubic, u), u), u));
    const above = v128.bitselect(one, inside, f64x2.ge(u, end));
    v128.store(y, f64x2.mul(ceiling, v128.bitselect(minusOne, above, f64x2.le(u, minusEnd))));
  }
}

/**
 * The hyperbolic tangent.
 *
 * @param table - tanh(i / 2048) for i up to 18 433
 */
export function tanhClip(y: usize, count: i32, k: usize, table: usize): void {
  const gain = v128.load64_splat(k),
    ceiling = v128.load64_splat(k, 8),
    steps = held(k + 16, 2048),
    end = held(k + 16, 18432),
    minusEnd = held(k + 16, -18432),
    zero = held(k + 16, 0),
    minusZero = held(k + 16, -0.0),
    whole32 = held(k + 16, 4503599627370496); // 2^52: the lower half of a sum with it is the other number, as an integer
  for (const stop = y + ((<usize>count) << 3); y < stop; y += 16) {
    const x = f64x2.mul(f64x2.mul(gain, v128.load(y)), steps);
    const position = f64x2.pmax(minusEnd, f64x2.pmin(end, x)); // the end for NaN
    const whole = f64x2.add(f64x2.trunc(position), zero); // without a negative zero
    const sign = v128.and(whole, minusZero);
    const at = f64x2.add(v128.xor(whole, sign), whole32);
    // Of both signs' numbers the sizes are interpolated: the sign of every product and sum is theirs.
    const size = interpolate(
      table,
      i32x4.extract_lane(at, 0),
      i32x4.extract_lane(at, 2),
      v128.xor(f64x2.sub(position, whole), sign),
    );
    v128.store(y, f64x2.mul(ceiling, v128.xor(size, sign)));
  }
}
