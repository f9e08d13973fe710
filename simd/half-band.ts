/**
 * Half-band stages in WebAssembly: `src/filters/half-band.ts` with two numbers to a vector.
 *
 * Each number is made by the same operations in the same order as there, so the bits are the same: a vector holds two
 * neighbouring outputs, never two parts of one sum. Arrays are addresses of doubles; lengths count doubles.
 */

/** Copies `count` doubles, two at a time; up to one more may be written. */
function copy(to: usize, from: usize, count: i32): void {
  const end = to + ((<usize>count) << 3);
  for (; to < end; to += 16, from += 16) v128.store(to, v128.load(from));
}

/**
 * y[i] = sum over j of taps[j] (w[i + j] + w[i + 2k - 1 - j]), and writes the vector (y[i], y[i + 1]) to `y + 8 i`. Eight
 * outputs at a time; up to seven behind `count` are left undefined.
 */
function symmetricFir(w: usize, taps: usize, k: i32, count: i32, y: usize): void {
  const end = y + ((<usize>count) << 3);
  const last = (<usize>(2 * k - 1)) << 3;
  const tapsEnd = taps + ((<usize>k) << 3);
  for (; y < end; y += 64, w += 64) {
    let a = f64x2.splat(0),
      b = f64x2.splat(0),
      c = f64x2.splat(0),
      d = f64x2.splat(0);
    let p = w,
      q = w + last;
    for (let t = taps; t < tapsEnd; t += 8, p += 8, q -= 8) {
      const tap = v128.load64_splat(t);
      a = f64x2.add(a, f64x2.mul(tap, f64x2.add(v128.load(p), v128.load(q))));
      b = f64x2.add(b, f64x2.mul(tap, f64x2.add(v128.load(p, 16), v128.load(q, 16))));
      c = f64x2.add(c, f64x2.mul(tap, f64x2.add(v128.load(p, 32), v128.load(q, 32))));
      d = f64x2.add(d, f64x2.mul(tap, f64x2.add(v128.load(p, 48), v128.load(q, 48))));
    }
    v128.store(y, a);
    v128.store(y, b, 16);
    v128.store(y, c, 32);
    v128.store(y, d, 48);
  }
}

/**
 * Fills `y[0 .. 2 count)` from `x[0 .. count)`.
 *
 * @param past - the last 2k - 1 samples; brought up to date
 * @param window - room for 2k - 1 + count + 8, `even` for count + 8
 */
export function up(taps: usize, k: i32, past: usize, x: usize, count: i32, window: usize, even: usize, y: usize): void {
  const length = 2 * k - 1;
  const fresh = window + ((<usize>length) << 3);
  copy(window, past, length);
  copy(fresh, x, count);
  symmetricFir(window, taps, k, count, even);
  let odd = window + ((<usize>k) << 3);
  const end = even + ((<usize>count) << 3);
  for (; even < end; even += 16, odd += 16, y += 32) {
    const e = v128.load(even),
      o = v128.load(odd);
    v128.store(y, v128.shuffle<f64>(e, o, 0, 2));
    v128.store(y, v128.shuffle<f64>(e, o, 1, 3), 16);
  }
  keep(past, window + ((<usize>count) << 3), length);
}

/**
 * Fills `z[0 .. count)` from `y[0 .. 2 count)`.
 *
 * @param late - 1 where y[0] belongs to the odd phase
 * @param pastEven - the last `lengthEven` samples of its phase, and `pastOdd`; brought up to date
 * @param even - room for lengthEven + count + 8, `odd` for lengthOdd + count + 8
 */
export function down(
  taps: usize,
  k: i32,
  pastEven: usize,
  lengthEven: i32,
  pastOdd: usize,
  lengthOdd: i32,
  y: usize,
  late: i32,
  count: i32,
  even: usize,
  odd: usize,
  z: usize,
): void {
  copy(even, pastEven, lengthEven);
  copy(odd, pastOdd, lengthOdd);
  let e = even + ((<usize>lengthEven) << 3),
    o = odd + ((<usize>lengthOdd) << 3);
  if (late != 0) {
    const swap = e;
    e = o;
    o = swap;
  }
  for (let end = e + ((<usize>count) << 3); e < end; e += 16, o += 16, y += 32) {
    const first = v128.load(y),
      second = v128.load(y, 16);
    v128.store(e, v128.shuffle<f64>(first, second, 0, 2));
    v128.store(o, v128.shuffle<f64>(first, second, 1, 3));
  }
  symmetricFir(even, taps, k, count, z);
  const half = f64x2.splat(0.5);
  const end = z + ((<usize>count) << 3);
  for (let at = odd; z < end; z += 16, at += 16) {
    v128.store(z, f64x2.add(v128.load(z), f64x2.mul(half, v128.load(at))));
  }
  keep(pastEven, even + ((<usize>count) << 3), lengthEven);
  keep(pastOdd, odd + ((<usize>count) << 3), lengthOdd);
}

/** Copies exactly `count` doubles: the neighbours are another's. */
function keep(to: usize, from: usize, count: i32): void {
  const end = to + ((<usize>count) << 3);
  for (; to < end; to += 8, from += 8) f64.store(to, f64.load(from));
}
