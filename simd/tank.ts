/**
 * Schroeder tank in WebAssembly: `src/reverb/plain-tank.ts` two numbers at a time, with the same bits.
 *
 * A vector holds one comb at two neighbouring samples, and two combs at one sample where the recurrence of their poles
 * is. All is addresses of doubles; lengths and places are doubles, too, as state is saved.
 *
 *     tank          banks of four combs, end to end, then the allpasses
 *     bank          4 lengths, 4 places, 4 echoes, 4 rings
 *     allpasses     their lengths, their places, their rings
 */

/** Bytes of the doubles that a number in memory counts. */
function bytesAt(at: usize): usize {
  return (<usize>f64.load(at)) << 3;
}

/** Writes how many doubles lie between two addresses. */
function storeLength(at: usize, from: usize, to: usize): void {
  f64.store(at, <f64>((to - from) >> 3));
}

/** Adds the echoes of a bank for `x[0 .. count)` to `y`. Returns the end of the bank. */
function addCombs(bank: usize, k: usize, x: usize, y: usize, count: i32): usize {
  const ringA = bank + 96,
    ringB = ringA + bytesAt(bank),
    ringC = ringB + bytesAt(bank + 8),
    ringD = ringC + bytesAt(bank + 16),
    ringsEnd = ringD + bytesAt(bank + 24);
  let a = ringA + bytesAt(bank + 32),
    b = ringB + bytesAt(bank + 40),
    c = ringC + bytesAt(bank + 48),
    d = ringD + bytesAt(bank + 56);
  let echoAB = v128.load(bank, 64),
    echoCD = v128.load(bank, 80);
  const gainA = v128.load64_splat(k),
    gainB = v128.load64_splat(k, 16),
    gainC = v128.load64_splat(k, 32),
    gainD = v128.load64_splat(k, 48);
  const poleAB = v128.load64_lane(k, v128.load64_splat(k, 8), 1, 24),
    poleCD = v128.load64_lane(k, v128.load64_splat(k, 40), 1, 56);

  for (const end = x + ((<usize>count) << 3); x < end;) {
    const run = min(end - x, min(min(ringB - a, ringC - b), min(ringD - c, ringsEnd - d)));
    const even = run & ~15;
    for (let i: usize = 0; i < even; i += 16) {
      const input = v128.load(x + i);
      const delayedA = f64x2.mul(gainA, v128.load(a + i)),
        delayedB = f64x2.mul(gainB, v128.load(b + i)),
        delayedC = f64x2.mul(gainC, v128.load(c + i)),
        delayedD = f64x2.mul(gainD, v128.load(d + i));
      const firstAB = f64x2.add(v128.shuffle<f64>(delayedA, delayedB, 0, 2), f64x2.mul(poleAB, echoAB)),
        firstCD = f64x2.add(v128.shuffle<f64>(delayedC, delayedD, 0, 2), f64x2.mul(poleCD, echoCD));
      echoAB = f64x2.add(v128.shuffle<f64>(delayedA, delayedB, 1, 3), f64x2.mul(poleAB, firstAB));
      echoCD = f64x2.add(v128.shuffle<f64>(delayedC, delayedD, 1, 3), f64x2.mul(poleCD, firstCD));
      const echoA = v128.shuffle<f64>(firstAB, echoAB, 0, 2),
        echoB = v128.shuffle<f64>(firstAB, echoAB, 1, 3),
        echoC = v128.shuffle<f64>(firstCD, echoCD, 0, 2),
        echoD = v128.shuffle<f64>(firstCD, echoCD, 1, 3);
      v128.store(a + i, f64x2.add(input, echoA));
      v128.store(b + i, f64x2.add(input, echoB));
      v128.store(c + i, f64x2.add(input, echoC));
      v128.store(d + i, f64x2.add(input, echoD));
      v128.store(y + i, f64x2.add(v128.load(y + i), f64x2.add(f64x2.sub(echoA, echoB), f64x2.sub(echoC, echoD))));
    }
    x += even;
    y += even;
    a += even;
    b += even;
    c += even;
    d += even;
    if (run & 8) {
      const input = f64.load(x);
      const echoA =
          f64x2.extract_lane(gainA, 0) * f64.load(a) + f64x2.extract_lane(poleAB, 0) * f64x2.extract_lane(echoAB, 0),
        echoB =
          f64x2.extract_lane(gainB, 0) * f64.load(b) + f64x2.extract_lane(poleAB, 1) * f64x2.extract_lane(echoAB, 1),
        echoC =
          f64x2.extract_lane(gainC, 0) * f64.load(c) + f64x2.extract_lane(poleCD, 0) * f64x2.extract_lane(echoCD, 0),
        echoD =
          f64x2.extract_lane(gainD, 0) * f64.load(d) + f64x2.extract_lane(poleCD, 1) * f64x2.extract_lane(echoCD, 1);
      f64.store(a, input + echoA);
      f64.store(b, input + echoB);
      f64.store(c, input + echoC);
      f64.store(d, input + echoD);
      f64.store(y, f64.load(y) + (echoA - echoB + (echoC - echoD)));
      echoAB = f64x2.replace_lane(f64x2.splat(echoA), 1, echoB);
      echoCD = f64x2.replace_lane(f64x2.splat(echoC), 1, echoD);
      x += 8;
      y += 8;
      a += 8;
      b += 8;
      c += 8;
      d += 8;
    }
    if (a == ringB) a = ringA;
    if (b == ringC) b = ringB;
    if (c == ringD) c = ringC;
    if (d == ringsEnd) d = ringD;
  }

  storeLength(bank + 32, ringA, a);
  storeLength(bank + 40, ringB, b);
  storeLength(bank + 48, ringC, c);
  storeLength(bank + 56, ringD, d);
  v128.store(bank, echoAB, 64);
  v128.store(bank, echoCD, 80);
  return ringsEnd;
}

/** An allpass: processes `x[0 .. count)` in place. */
function passAll(ring: usize, ringEnd: usize, place: usize, gain: f64, x: usize, count: i32): void {
  const gains = f64x2.splat(gain);
  let at = ring + bytesAt(place);
  for (const end = x + ((<usize>count) << 3); x < end;) {
    const run = min(end - x, ringEnd - at);
    for (const stop = x + (run & ~15); x < stop; x += 16, at += 16) {
      const delayed = v128.load(at);
      const v = f64x2.add(v128.load(x), f64x2.mul(gains, delayed));
      v128.store(x, f64x2.sub(delayed, f64x2.mul(gains, v)));
      v128.store(at, v);
    }
    if (run & 8) {
      const delayed = f64.load(at);
      const v = f64.load(x) + gain * delayed;
      f64.store(x, delayed - gain * v);
      f64.store(at, v);
      x += 8;
      at += 8;
    }
    if (at == ringEnd) at = ring;
  }
  storeLength(place, ring, at);
}

/**
 * Writes the reverberation of `x[0 .. count)` to `y`; `x` is lost. One number behind both may be overwritten.
 *
 * @param k - level, gains of the allpasses, gain and pole of every comb
 */
export function tank(tank: usize, banks: i32, allpasses: i32, k: usize, x: usize, y: usize, count: i32): void {
  const level = v128.load64_splat(k),
    direct = f64x2.splat(sqrt<f64>(<f64>(4 * banks)));
  const gains = k + 8,
    bytes = (<usize>allpasses) << 3;
  for (let i: usize = 0, end = (<usize>count) << 3; i < end; i += 16) {
    const input = f64x2.mul(level, v128.load(x + i));
    v128.store(x + i, input);
    v128.store(y + i, f64x2.mul(direct, input));
  }
  let next = tank;
  for (let b = 0; b < banks; b++) next = addCombs(next, gains + bytes + ((<usize>b) << 6), x, y, count);
  const places = next + bytes;
  let ring = places + bytes;
  for (let i: usize = 0; i < bytes; i += 8) {
    const ringEnd = ring + bytesAt(next + i);
    passAll(ring, ringEnd, places + i, f64.load(gains + i), y, count);
    ring = ringEnd;
  }
}
