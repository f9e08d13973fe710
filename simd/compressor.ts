/**
 * The gains of a compressor from its levels: `log2InPlace` and `pastThreshold`, then `lasting`, `smoothBranching` and
 * `exp2InPlace` of `src/core/maths.ts` and `src/dynamics/`, with the same bits.
 *
 * The smoothers are a chain: each sample waits for the one before. So three steps share a loop, each a pair of samples
 * behind the one before it, and what does not wait is done meanwhile:
 *
 *     pair n         what its levels ask for, in octaves
 *     pair n - 1     the smoothers
 *     pair n - 2     the exponential
 */
import { held, interpolate } from './parts/vectors';

/**
 * Replaces `count` levels, an even number, by gains.
 *
 * @param k - the compressor's constants, its row's smoothed gain and lasting one, and room for a number
 * @param log2Table - log2(1 + i / 2048) for i up to 2048, `exp2Table` 2^(i / 2048)
 */
export function compressorGains(row: usize, count: i32, k: usize, log2Table: usize, exp2Table: usize): void {
  const room = k + 104,
    knee = f64.load(k, 16),
    slopeBeyond = f64.load(k, 24),
    release = f64.load(k, 40),
    attack = f64.load(k, 48),
    average = f64.load(k, 80);
  const kneeBegin = held(room, f64.load(k, 8) - knee / 2),
    width = held(room, knee),
    slope = held(room, slopeBeyond),
    bend = held(room, knee > 1e-6 ? slopeBeyond / (2 * knee) : 0),
    range = v128.load64_splat(k, 32),
    both = f64x2.extract_lane(held(room, 1 - (release + attack) / 2), 0),
    more = f64x2.extract_lane(held(room, (attack - release) / 2), 0),
    makeup = v128.load64_splat(k, 64);
  const zero = held(room, 0),
    one = held(room, 1),
    leastLevel = held(room, 9.332636185032189e-302), // 2^-1000
    integer = held(room, 4503599627370496), // 2^52: the lower bits of a sum with it are the other number
    levelBias = held(room, 4503599627370496 + 1023),
    least = held(room, -1000),
    most = held(room, 1000),
    steps = held(room, 2048),
    gainBias = held(room, 4503599627370496 + 1023 * 2048); // of a sum with it: 2048 (exponent + 1023) + entry
  let y = f64.load(k, 88),
    y1 = f64.load(k, 96);
  let wanted = zero,
    smooth = zero;

  const end = row + ((<usize>count) << 3);
  for (let at = row; at < end + 32; at += 16) {
    const smoothBefore = smooth;
    if (at > row && at <= end) {
      let first = f64x2.extract_lane(wanted, 0),
        second = f64x2.extract_lane(wanted, 1);
      if (average > 0) {
        y1 = first + average * (y1 - first);
        if (y1 < first) first = y1;
        y1 = second + average * (y1 - second);
        if (y1 < second) second = y1;
      } else y1 = second;
      first -= y;
      y += both * first + more * abs(first);
      smooth = f64x2.splat(y);
      second -= y;
      y += both * second + more * abs(second);
      smooth = f64x2.replace_lane(smooth, 1, y);
    }

    // The plain loops do without a branch what a maximum does here. What is read behind the row is not used.
    const level = f64x2.pmax(leastLevel, v128.load(at)); // the least for NaN
    const entry = i64x2.shr_u(level, 41);
    const fraction = interpolate(
      log2Table,
      i32x4.extract_lane(entry, 0) & 2047,
      i32x4.extract_lane(entry, 2) & 2047,
      f64x2.sub(v128.or(i64x2.shr_u(i64x2.shl(level, 23), 12), one), one),
    );
    const exponent = f64x2.sub(v128.or(i64x2.shr_u(level, 52), integer), levelBias);
    const over = f64x2.sub(f64x2.add(exponent, fraction), kneeBegin);
    const aboveKnee = f64x2.pmax(zero, f64x2.sub(over, width));
    const intoKnee = f64x2.sub(f64x2.pmax(zero, over), aboveKnee);
    const gain = f64x2.add(f64x2.mul(f64x2.mul(bend, intoKnee), intoKnee), f64x2.mul(slope, aboveKnee));
    wanted = f64x2.pmax(range, gain);

    const position = f64x2.mul(f64x2.pmin(most, f64x2.pmax(least, smoothBefore)), steps); // the least for NaN
    const whole = f64x2.floor(position);
    const biased = f64x2.add(whole, gainBias);
    const mantissa = interpolate(
      exp2Table,
      i32x4.extract_lane(biased, 0) & 2047,
      i32x4.extract_lane(biased, 2) & 2047,
      f64x2.sub(position, whole),
    );
    const power = i64x2.shl(i64x2.shr_u(biased, 11), 52);
    if (at > row + 16) v128.store(at - 32, f64x2.mul(f64x2.mul(mantissa, power), makeup));
  }
  f64.store(k, y, 88);
  f64.store(k, y1, 96);
}

/** Compresses rows of `count` samples, each `distance` bytes behind the one before, by the loudest of them; `row` is room for its gains. */
export function compress(
  rows: usize,
  distance: usize,
  channels: i32,
  row: usize,
  count: i32,
  k: usize,
  log2Table: usize,
  exp2Table: usize,
): void {
  const length = (<usize>count) << 3,
    end = rows + <usize>channels * distance;
  for (let at: usize = 0; at < length; at += 16) {
    let level = f64x2.abs(v128.load(rows + at));
    for (let x = rows + distance + at; x < end; x += distance) level = f64x2.pmax(level, f64x2.abs(v128.load(x)));
    v128.store(row + at, level);
  }
  compressorGains(row, count, k, log2Table, exp2Table);
  const wet = v128.load64_splat(k, 72),
    dry = held(k + 104, 1 - f64.load(k, 72));
  for (let at: usize = 0; at < length; at += 16) {
    const gain = f64x2.add(dry, f64x2.mul(wet, v128.load(row + at)));
    for (let x = rows + at; x < end; x += distance) v128.store(x, f64x2.mul(v128.load(x), gain));
  }
}
