/**
 * The way into a block and out of it: `load` and `store` of `src/core/pieces.ts` for floats, four at a time. `count` is a
 * multiple of four.
 */
import { held } from './parts/vectors';

/** Writes floats as doubles; returns whether all may pass, for which the sum of their magnitudes must be below `limit`. */
export function widen(from: usize, to: usize, count: i32, limit: f64): bool {
  let sum = f64x2.splat(0);
  for (const end = from + ((<usize>count) << 2); from < end; from += 16, to += 32) {
    const four = v128.load(from);
    const first = f64x2.promote_low_f32x4(four),
      second = f64x2.promote_low_f32x4(v128.shuffle<f64>(four, four, 1, 1));
    sum = f64x2.add(sum, f64x2.add(f64x2.abs(first), f64x2.abs(second)));
    v128.store(to, first);
    v128.store(to, second, 16);
  }
  return f64x2.extract_lane(sum, 0) + f64x2.extract_lane(sum, 1) <= limit; // false for NaN, too
}

/** Rounds doubles to floats, to the largest of them where they are beyond. */
export function narrow(from: usize, to: usize, count: i32): void {
  const most = held(to, 3.4028234663852886e38),
    least = f64x2.neg(most);
  for (const end = to + ((<usize>count) << 2); to < end; to += 16, from += 32) {
    const first = f64x2.pmax(f64x2.pmin(v128.load(from), most), least),
      second = f64x2.pmax(f64x2.pmin(v128.load(from, 16), most), least);
    v128.store(to, v128.shuffle<f64>(f32x4.demote_f64x2_zero(first), f32x4.demote_f64x2_zero(second), 0, 2));
  }
}
