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

/**
 * Adds the echoes of a bank, or of two, for `x[0 .. count)` to `y`; the first fills `y` with the direct sound before. Four
 * combs wait for their recurrence most of the time, eight hardly do.
 *
 * @param both - with the bank that follows
 * @param k - gain and pole of every comb
 * @returns end of the bank or banks
 */
function addCombs(
  first: bool,
  both: bool,
  one: usize,
  level: f64,
  direct: f64,
  k: usize,
  x: usize,
  y: usize,
  count: i32,
): usize {
  const ringA = one + 96,
    ringB = ringA + bytesAt(one),
    ringC = ringB + bytesAt(one + 8),
    ringD = ringC + bytesAt(one + 16),
    endD = ringD + bytesAt(one + 24);
  const two = both ? endD : one;
  const ringE = two + 96,
    ringF = ringE + bytesAt(two),
    ringG = ringF + bytesAt(two + 8),
    ringH = ringG + bytesAt(two + 16),
    endH = ringH + bytesAt(two + 24);
  let a = ringA + bytesAt(one + 32),
    b = ringB + bytesAt(one + 40),
    c = ringC + bytesAt(one + 48),
    d = ringD + bytesAt(one + 56),
    e = ringE + bytesAt(two + 32),
    f = ringF + bytesAt(two + 40),
    g = ringG + bytesAt(two + 48),
    h = ringH + bytesAt(two + 56);
  let echoAB = v128.load(one, 64),
    echoCD = v128.load(one, 80),
    echoEF = v128.load(two, 64),
    echoGH = v128.load(two, 80);
  const poleAB = v128.load64_lane(k, v128.load64_splat(k, 8), 1, 24),
    poleCD = v128.load64_lane(k, v128.load64_splat(k, 40), 1, 56),
    poleEF = v128.load64_lane(k, v128.load64_splat(k, 72), 1, 88),
    poleGH = v128.load64_lane(k, v128.load64_splat(k, 104), 1, 120);
  const levels = f64x2.splat(level),
    directs = f64x2.splat(direct);

  for (const end = x + ((<usize>count) << 3); x < end;) {
    let run = min(end - x, min(min(ringB - a, ringC - b), min(ringD - c, endD - d)));
    if (both) run = min(run, min(min(ringF - e, ringG - f), min(ringH - g, endH - h)));
    const even = run & ~15;
    for (let i: usize = 0; i < even; i += 16) {
      const input = f64x2.mul(levels, v128.load(x + i));
      const before = first ? f64x2.mul(directs, input) : v128.load(y + i);
      const pastA = f64x2.mul(v128.load64_splat(k, 0), v128.load(a + i)),
        pastB = f64x2.mul(v128.load64_splat(k, 16), v128.load(b + i));
      const firstAB = f64x2.add(v128.shuffle<f64>(pastA, pastB, 0, 2), f64x2.mul(poleAB, echoAB));
      echoAB = f64x2.add(v128.shuffle<f64>(pastA, pastB, 1, 3), f64x2.mul(poleAB, firstAB));
      const echoA = v128.shuffle<f64>(firstAB, echoAB, 0, 2),
        echoB = v128.shuffle<f64>(firstAB, echoAB, 1, 3);
      v128.store(a + i, f64x2.add(input, echoA));
      v128.store(b + i, f64x2.add(input, echoB));
      const pastC = f64x2.mul(v128.load64_splat(k, 32), v128.load(c + i)),
        pastD = f64x2.mul(v128.load64_splat(k, 48), v128.load(d + i));
      const firstCD = f64x2.add(v128.shuffle<f64>(pastC, pastD, 0, 2), f64x2.mul(poleCD, echoCD));
      echoCD = f64x2.add(v128.shuffle<f64>(pastC, pastD, 1, 3), f64x2.mul(poleCD, firstCD));
      const echoC = v128.shuffle<f64>(firstCD, echoCD, 0, 2),
        echoD = v128.shuffle<f64>(firstCD, echoCD, 1, 3);
      v128.store(c + i, f64x2.add(input, echoC));
      v128.store(d + i, f64x2.add(input, echoD));
      let after = f64x2.add(before, f64x2.add(f64x2.sub(echoA, echoB), f64x2.sub(echoC, echoD)));
      if (both) {
        const pastE = f64x2.mul(v128.load64_splat(k, 64), v128.load(e + i)),
          pastF = f64x2.mul(v128.load64_splat(k, 80), v128.load(f + i));
        const firstEF = f64x2.add(v128.shuffle<f64>(pastE, pastF, 0, 2), f64x2.mul(poleEF, echoEF));
        echoEF = f64x2.add(v128.shuffle<f64>(pastE, pastF, 1, 3), f64x2.mul(poleEF, firstEF));
        const echoE = v128.shuffle<f64>(firstEF, echoEF, 0, 2),
          echoF = v128.shuffle<f64>(firstEF, echoEF, 1, 3);
        v128.store(e + i, f64x2.add(input, echoE));
        v128.store(f + i, f64x2.add(input, echoF));
        const pastG = f64x2.mul(v128.load64_splat(k, 96), v128.load(g + i)),
          pastH = f64x2.mul(v128.load64_splat(k, 112), v128.load(h + i));
        const firstGH = f64x2.add(v128.shuffle<f64>(pastG, pastH, 0, 2), f64x2.mul(poleGH, echoGH));
        echoGH = f64x2.add(v128.shuffle<f64>(pastG, pastH, 1, 3), f64x2.mul(poleGH, firstGH));
        const echoG = v128.shuffle<f64>(firstGH, echoGH, 0, 2),
          echoH = v128.shuffle<f64>(firstGH, echoGH, 1, 3);
        v128.store(g + i, f64x2.add(input, echoG));
        v128.store(h + i, f64x2.add(input, echoH));
        after = f64x2.add(after, f64x2.add(f64x2.sub(echoE, echoF), f64x2.sub(echoG, echoH)));
      }
      v128.store(y + i, after);
    }
    x += even;
    y += even;
    a += even;
    b += even;
    c += even;
    d += even;
    e += even;
    f += even;
    g += even;
    h += even;
    if (run & 8) {
      const input = level * f64.load(x);
      const before = first ? direct * input : f64.load(y);
      const echoA = f64.load(k, 0) * f64.load(a) + f64x2.extract_lane(poleAB, 0) * f64x2.extract_lane(echoAB, 0);
      const echoB = f64.load(k, 16) * f64.load(b) + f64x2.extract_lane(poleAB, 1) * f64x2.extract_lane(echoAB, 1);
      echoAB = f64x2.replace_lane(f64x2.splat(echoA), 1, echoB);
      f64.store(a, input + echoA);
      f64.store(b, input + echoB);
      const echoC = f64.load(k, 32) * f64.load(c) + f64x2.extract_lane(poleCD, 0) * f64x2.extract_lane(echoCD, 0);
      const echoD = f64.load(k, 48) * f64.load(d) + f64x2.extract_lane(poleCD, 1) * f64x2.extract_lane(echoCD, 1);
      echoCD = f64x2.replace_lane(f64x2.splat(echoC), 1, echoD);
      f64.store(c, input + echoC);
      f64.store(d, input + echoD);
      let after = before + (echoA - echoB + (echoC - echoD));
      if (both) {
        const echoE = f64.load(k, 64) * f64.load(e) + f64x2.extract_lane(poleEF, 0) * f64x2.extract_lane(echoEF, 0);
        const echoF = f64.load(k, 80) * f64.load(f) + f64x2.extract_lane(poleEF, 1) * f64x2.extract_lane(echoEF, 1);
        echoEF = f64x2.replace_lane(f64x2.splat(echoE), 1, echoF);
        f64.store(e, input + echoE);
        f64.store(f, input + echoF);
        const echoG = f64.load(k, 96) * f64.load(g) + f64x2.extract_lane(poleGH, 0) * f64x2.extract_lane(echoGH, 0);
        const echoH = f64.load(k, 112) * f64.load(h) + f64x2.extract_lane(poleGH, 1) * f64x2.extract_lane(echoGH, 1);
        echoGH = f64x2.replace_lane(f64x2.splat(echoG), 1, echoH);
        f64.store(g, input + echoG);
        f64.store(h, input + echoH);
        after += echoE - echoF + (echoG - echoH);
      }
      f64.store(y, after);
      x += 8;
      y += 8;
      a += 8;
      b += 8;
      c += 8;
      d += 8;
      e += 8;
      f += 8;
      g += 8;
      h += 8;
    }
    if (a == ringB) a = ringA;
    if (b == ringC) b = ringB;
    if (c == ringD) c = ringC;
    if (d == endD) d = ringD;
    if (both) {
      if (e == ringF) e = ringE;
      if (f == ringG) f = ringF;
      if (g == ringH) g = ringG;
      if (h == endH) h = ringH;
    }
  }

  storeLength(one + 32, ringA, a);
  storeLength(one + 40, ringB, b);
  storeLength(one + 48, ringC, c);
  storeLength(one + 56, ringD, d);
  v128.store(one, echoAB, 64);
  v128.store(one, echoCD, 80);
  if (both) {
    storeLength(two + 32, ringE, e);
    storeLength(two + 40, ringF, f);
    storeLength(two + 48, ringG, g);
    storeLength(two + 56, ringH, h);
    v128.store(two, echoEF, 64);
    v128.store(two, echoGH, 80);
  }
  return both ? endH : endD;
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
 * Writes the reverberation of `x[0 .. count)` to `y`.
 *
 * @param k - level, gains of the allpasses, gain and pole of every comb
 */
export function tank(tank: usize, banks: i32, allpasses: i32, k: usize, x: usize, y: usize, count: i32): void {
  const level = f64.load(k),
    direct = sqrt<f64>(<f64>(4 * banks));
  const gains = k + 8,
    bytes = (<usize>allpasses) << 3;
  let combs = gains + bytes,
    next: usize;
  if (banks == 1) next = addCombs(true, false, tank, level, direct, combs, x, y, count);
  else next = addCombs(true, true, tank, level, direct, combs, x, y, count);
  for (let b = 2; b < banks; b++) {
    combs = gains + bytes + ((<usize>b) << 6);
    next = addCombs(false, false, next, level, direct, combs, x, y, count);
  }
  const places = next + bytes;
  let ring = places + bytes;
  for (let i: usize = 0; i < bytes; i += 8) {
    const ringEnd = ring + bytesAt(next + i);
    passAll(ring, ringEnd, places + i, f64.load(gains + i), y, count);
    ring = ringEnd;
  }
}
