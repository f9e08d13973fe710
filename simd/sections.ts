/**
 * Second-order sections in series in WebAssembly: `src/filters/biquad-kernel.ts` with two numbers to a vector.
 *
 * Each number is made by the same operations in the same order as there. A section waits for its own last output: so that
 * several can work meanwhile, each is four samples behind the one before it.
 *
 *     turn           0         1         2        ...
 *     section 0    0 .. 3    4 .. 7    8 .. 11           in place: a section finds what the one before it
 *     section 1              0 .. 3    4 .. 7            has left there a turn ago
 *     section 2                        0 .. 3
 *
 * The lanes of a vector are two channels; or one channel in two places, where the second lane goes on with the sections that
 * follow those of the first, as many turns behind as these are. A lane of a section is at rest, all of its numbers 0, before
 * its first turn and after its last. Addresses and distances are in bytes.
 */

const NUMBERS = 9; // of a section and lane: b0 b1 b2 a1 a2, x[n-1] x[n-2] y[n-1] y[n-2]
const COEFFICIENTS = 5;
const SECTION: usize = 16 * NUMBERS;
const K: usize = 8 * COEFFICIENTS; // of a section, as the plain loops hold them
const PAST: usize = 8 * (NUMBERS - COEFFICIENTS);
const TURN: usize = 8 * 4;
const MOST = 8; // sections under way together

/** Copies a section's coefficients and past into a lane. */
function enter(lane: usize, k: usize, past: usize): void {
  for (const end = k + K; k < end; k += 8, lane += 16) f64.store(lane, f64.load(k));
  for (const end = past + PAST; past < end; past += 8, lane += 16) f64.store(lane, f64.load(past));
}

/** Copies the past back; the lane is at rest. */
function leave(lane: usize, past: usize): void {
  for (const end = lane + 16 * COEFFICIENTS; lane < end; lane += 16) f64.store(lane, 0);
  for (const end = past + PAST; past < end; past += 8, lane += 16) {
    f64.store(past, f64.load(lane));
    f64.store(lane, 0);
  }
}

/** What the inputs give to an output. */
function fed(b0: v128, u: v128, b1: v128, x1: v128, b2: v128, x2: v128): v128 {
  return f64x2.add(f64x2.add(f64x2.mul(b0, u), f64x2.mul(b1, x1)), f64x2.mul(b2, x2));
}

/** An output from that and the outputs before it. */
function answered(x: v128, a2: v128, y2: v128, a1: v128, y1: v128): v128 {
  return f64x2.sub(f64x2.sub(x, f64x2.mul(a2, y2)), f64x2.mul(a1, y1));
}

/** Four samples of one section, at `a` and at `b`. */
function turn(section: usize, a: usize, b: usize): void {
  const b0 = v128.load(section),
    b1 = v128.load(section, 16),
    b2 = v128.load(section, 32),
    a1 = v128.load(section, 48),
    a2 = v128.load(section, 64);
  const x1 = v128.load(section, 80),
    x2 = v128.load(section, 96),
    y1 = v128.load(section, 112),
    y2 = v128.load(section, 128);
  const firstOfA = v128.load(a),
    firstOfB = v128.load(b),
    lastOfA = v128.load(a, 16),
    lastOfB = v128.load(b, 16);
  const u0 = v128.shuffle<f64>(firstOfA, firstOfB, 0, 2),
    u1 = v128.shuffle<f64>(firstOfA, firstOfB, 1, 3),
    u2 = v128.shuffle<f64>(lastOfA, lastOfB, 0, 2),
    u3 = v128.shuffle<f64>(lastOfA, lastOfB, 1, 3);
  const v0 = answered(fed(b0, u0, b1, x1, b2, x2), a2, y2, a1, y1);
  const v1 = answered(fed(b0, u1, b1, u0, b2, x1), a2, y1, a1, v0);
  const v2 = answered(fed(b0, u2, b1, u1, b2, u0), a2, v0, a1, v1);
  const v3 = answered(fed(b0, u3, b1, u2, b2, u1), a2, v1, a1, v2);
  v128.store(a, v128.shuffle<f64>(v0, v1, 0, 2));
  v128.store(b, v128.shuffle<f64>(v0, v1, 1, 3));
  v128.store(a, v128.shuffle<f64>(v2, v3, 0, 2), 16);
  v128.store(b, v128.shuffle<f64>(v2, v3, 1, 3), 16);
  v128.store(section, u3, 80);
  v128.store(section, u2, 96);
  v128.store(section, v3, 112);
  v128.store(section, v2, 128);
}

/**
 * Runs `n` sections on the first lane over `turns` turns from `x` on, and `m` sections, n or n - 1, on the second one,
 * `late` turns later and `apart` bytes further on. Where there is no other section, its lane rests at `spare`.
 */
function run(
  room: usize,
  n: i32,
  k: usize,
  past: usize,
  m: i32,
  other: usize,
  otherPast: usize,
  x: usize,
  apart: usize,
  turns: i32,
  late: i32,
): void {
  const spare = room + MOST * SECTION;
  const length = turns + late;
  for (let t = 0; t < length + n - 1; t++) {
    const begins = t - late;
    if (t < n) enter(room + <usize>t * SECTION, k + <usize>t * K, past + <usize>t * PAST);
    if (begins >= 0 && begins < m) {
      enter(room + <usize>begins * SECTION + 8, other + <usize>begins * K, otherPast + <usize>begins * PAST);
    }

    let s = max(0, t - length + 1),
      a = x + <usize>(t - s) * TURN;
    for (const end = min(n, t + 1); s < end; s++, a -= TURN) {
      turn(room + <usize>s * SECTION, a, s < m ? a + apart : spare);
    }

    const ends = t - turns + 1;
    if (ends >= 0 && ends < n) leave(room + <usize>ends * SECTION, past + <usize>ends * PAST);
    if (ends >= late && ends - late < m) {
      leave(room + <usize>(ends - late) * SECTION + 8, otherPast + <usize>(ends - late) * PAST);
    }
  }
}

/**
 * Filters `count` samples, a multiple of four, of two channels in place.
 *
 * @param room - zeros for eight sections and a turn of one lane
 * @param k - five coefficients for each of the sections
 * @param past - of the channel at `x`, four numbers for each of the sections; `otherPast` of that at `z`
 */
export function sectionsOnTwo(
  room: usize,
  k: usize,
  sections: i32,
  past: usize,
  otherPast: usize,
  x: usize,
  z: usize,
  count: i32,
): void {
  for (; sections > 0; sections -= MOST) {
    const n = min(sections, MOST);
    run(room, n, k, past, n, k, otherPast, x, z - x, count >> 2, 0);
    k += MOST * K;
    past += MOST * PAST;
    otherPast += MOST * PAST;
  }
}

/** The same for one channel; before and after its samples there must be sixteen zeros, which are zeros again in the end. */
export function sectionsOnOne(room: usize, k: usize, sections: i32, past: usize, x: usize, count: i32): void {
  for (; sections > 0; sections -= MOST) {
    const both = min(sections, MOST),
      n = (both + 1) >> 1;
    const other = k + <usize>n * K,
      otherPast = past + <usize>n * PAST;
    run(room, n, k, past, both - n, other, otherPast, x, -(<usize>n * TURN), count >> 2, n);
    k += MOST * K;
    past += MOST * PAST;
  }
}
