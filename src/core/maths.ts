/**
 * Elementary functions that give the same bits on every engine.
 *
 * The language leaves the last digits of `Math.exp` and its kin to the engine. These are built from + - * / and `sqrt`
 * alone, which IEEE 754 rounds in one way, and so fix the bits of everything designed or processed with them.
 *
 *     2^x    = 2^n e^t,           n = round(x),          t = (x - n) ln 2        Taylor series of e^t
 *     ln x   = n ln 2 + ln m,     x = 2^n m,             s = (m - 1) / (m + 1)   ln m = 2 (s + s^3/3 + s^5/5 + ...)
 *     sin x  = +-sin r or cos r,  q = round(2 x / pi),   r = x - q pi / 2        Taylor series of sin r and cos r
 *
 * A constant that multiplies n or q is held in two parts, the first so short that its product is exact. The functions
 * named `...InPlace` are for work per sample: tables with linear interpolation, within 1e-6 dB.
 *
 * Source: W. J. Cody, W. Waite, "Software Manual for the Elementary Functions", Prentice-Hall 1980 (reduction in two
 * parts). Assumes a little-endian machine, as every current engine runs on.
 *
 * @module
 */
const LN2_HIGH = 0.6931471803691238; // 33 bits
const LN2_LOW = 1.9082149292705877e-10;
const LOG10_2_HIGH = 0.30102999566361177; // 40 bits
const LOG10_2_LOW = 3.694239077158931e-13;
const HALF_PI_HIGH = 1.5707963267341256; // 33 bits
const HALF_PI_LOW = 6.077100506506192e-11;

const buffer = /* @__PURE__ */ new ArrayBuffer(8);
const double = /* @__PURE__ */ new Float64Array(buffer);
const words = /* @__PURE__ */ new Int32Array(buffer); // words[1]: sign, exponent and the upper 20 bits of the mantissa

/** 2^n for whole -1022 <= n <= 1023. */
function powerOfTwo(n: number): number {
  words[0] = 0;
  words[1] = (n + 1023) << 20;
  return double[0];
}

/**
 * 2^(x + tail); relative error at most 4e-16. Exact for whole x, 0 or subnormal below 2^-1022, Infinity from 2^1024.
 *
 * @param tail - what `x` alone cannot hold, |tail| <= 0.5 beside a whole x
 */
export function exp2(x: number, tail = 0): number {
  x = x > 1100 ? 1100 : x < -1200 ? -1200 : x;
  const n = Math.floor(x + 0.5);
  const t = (x - n + tail) * Math.LN2;
  let sum = 1;
  for (let k = 13; k > 0; k--) sum = 1 + (sum * t) / k;
  return sum * powerOfTwo(n >> 1) * powerOfTwo(n - (n >> 1));
}

/** e^x; relative error at most 4e-16. */
export function exp(x: number): number {
  if (x > 710) return Infinity;
  if (x < -746) return 0;
  const n = Math.floor(x * Math.LOG2E + 0.5);
  return exp2(n, (x - n * LN2_HIGH - n * LN2_LOW) * Math.LOG2E);
}

/** e^x - 1 without cancellation near 0, for x up to 709; relative error at most 1e-15. */
function exponentialMinusOne(x: number): number {
  const n = Math.floor(x * Math.LOG2E + 0.5);
  const r = x - n * LN2_HIGH - n * LN2_LOW;
  let sum = 1;
  for (let k = 13; k > 1; k--) sum = 1 + (sum * r) / k;
  const scale = powerOfTwo(n);
  return scale * (sum * r) + (scale - 1);
}

/** For finite x > 0: returns n and leaves m in `double`, where x = 2^n m and sqrt(1/2) <= m < sqrt(2). */
function takeExponent(x: number): number {
  const shift = x < 2.2250738585072014e-308 ? 54 : 0; // 2^54 makes a subnormal normal
  double[0] = shift === 0 ? x : x * 18014398509481984;
  const high = words[1] + 0x95f62; // carries into the exponent when m >= sqrt(2)
  words[1] = (high & 0xfffff) + 0x3fe6a09e;
  return (high >> 20) - 1023 - shift;
}

/** ln m for sqrt(1/2) <= m < sqrt(2): 2s = f - s f keeps the rounding of s away from the leading term. */
function logOfMantissa(m: number): number {
  const f = m - 1;
  const s = f / (2 + f);
  const z = s * s;
  let sum = 0;
  for (let k = 21; k > 1; k -= 2) sum = z * (1 / k + sum);
  return f - s * (f - 2 * sum);
}

const logOfExtreme = (x: number): number => (x === 0 ? -Infinity : x > 0 ? x : NaN);

/** Logarithm to base 2; relative error at most 4e-16. Exact for powers of two; -Infinity at 0, NaN below. */
export function log2(x: number): number {
  if (!(x > 0 && x < Infinity)) return logOfExtreme(x);
  const n = takeExponent(x);
  return n + logOfMantissa(double[0]) * Math.LOG2E;
}

/** Natural logarithm; relative error at most 4e-16. -Infinity at 0, NaN below. */
export function log(x: number): number {
  if (!(x > 0 && x < Infinity)) return logOfExtreme(x);
  const n = takeExponent(x);
  return n * LN2_HIGH + (n * LN2_LOW + logOfMantissa(double[0]));
}

/** Logarithm to base 10; relative error at most 4e-16. -Infinity at 0, NaN below. */
export function log10(x: number): number {
  if (!(x > 0 && x < Infinity)) return logOfExtreme(x);
  const n = takeExponent(x);
  return n * LOG10_2_HIGH + (n * LOG10_2_LOW + logOfMantissa(double[0]) * Math.LOG10E);
}

/** base^exponent for base >= 0, NaN below; relative error at most (4 + |exponent|) 1e-16. pow(x, 0) is 1. */
export function pow(base: number, exponent: number): number {
  const product = exponent * log2(base);
  if (exponent === 0 || product === 0) return 1;
  if (!(Math.abs(product) < 1100)) return exp2(product);
  const n = takeExponent(base);
  const fraction = exponent * (logOfMantissa(double[0]) * Math.LOG2E);
  const shifted = 4097 * exponent; // Veltkamp's split: `high` has 41 bits, so that high * n and low * n are exact
  const high = shifted - (shifted - exponent);
  const whole = Math.floor(product + 0.5);
  return exp2(whole, high * n - whole + fraction + (exponent - high) * n);
}

/** Returns q mod 4 and leaves r in `double`, where x = q pi/2 + r and |r| <= pi/4. */
function takeQuarterTurns(x: number): number {
  const y = Math.abs(x) <= 1e6 ? x : x % (2 * Math.PI); // NaN for infinite x
  const q = Math.floor(y * (2 / Math.PI) + 0.5);
  double[0] = y - q * HALF_PI_HIGH - q * HALF_PI_LOW;
  return q & 3;
}

/** sin r for |r| <= pi/4: Taylor series to r^17. */
function sinOfRemainder(r: number): number {
  const z = r * r;
  const low = 1 / 362880 + z * (-1 / 39916800 + z * (1 / 6227020800 + z * (-1 / 1307674368000 + z / 355687428096000)));
  return r + r * z * (-1 / 6 + z * (1 / 120 + z * (-1 / 5040 + z * low)));
}

/** cos r for |r| <= pi/4: Taylor series to r^16. */
function cosOfRemainder(r: number): number {
  const z = r * r;
  const low = -1 / 3628800 + z * (1 / 479001600 + z * (-1 / 87178291200 + z / 20922789888000));
  return 1 - z / 2 + z * z * (1 / 24 + z * (-1 / 720 + z * (1 / 40320 + z * low)));
}

/** Sine; absolute error at most 1.2e-16 for |x| <= 1e5, growing as |x| beyond 1e6. NaN for infinite x. */
export function sin(x: number): number {
  const q = takeQuarterTurns(x);
  const value = q & 1 ? cosOfRemainder(double[0]) : sinOfRemainder(double[0]);
  return q & 2 ? -value : value;
}

/** Cosine; absolute error at most 1.2e-16 for |x| <= 1e5, growing as |x| beyond 1e6. NaN for infinite x. */
export function cos(x: number): number {
  const q = takeQuarterTurns(x);
  const value = q & 1 ? sinOfRemainder(double[0]) : cosOfRemainder(double[0]);
  return (q + 1) & 2 ? -value : value;
}

/** cos(2 pi t), an angle in turns: exact at whole quarters, absolute error at most 2e-16 for |t| < 1e9. */
export function cosOfTurns(t: number): number {
  const quarters = Math.floor(4 * t + 0.5);
  const r = (t - quarters / 4) * (2 * Math.PI);
  const value = quarters & 1 ? sinOfRemainder(r) : cosOfRemainder(r);
  return (quarters + 1) & 2 ? -value : value;
}

/** tan(pi part / whole), 0 <= part < whole / 2; relative error at most 6e-16: near the pole, whole / 2 - part is exact. */
export function tanPi(part: number, whole: number): number {
  const steep = 4 * part > whole;
  const r = ((steep ? whole / 2 - part : part) / whole) * Math.PI;
  let fraction = 17; // Lambert: tan r = r / (1 - r^2 / (3 - r^2 / (5 - ...)))
  for (let k = 15; k > 0; k -= 2) fraction = k - (r * r) / fraction;
  return steep ? fraction / r : r / fraction;
}

/** Hyperbolic tangent; relative error at most 1e-15. Exactly +-1 from |x| = 22. */
export function tanh(x: number): number {
  const size = Math.abs(x);
  const e = exponentialMinusOne(2 * size);
  const value = size >= 22 ? 1 : e / (e + 2);
  return x < 0 ? -value : value;
}

/** Hyperbolic sine; relative error at most 1e-15. */
export function sinh(x: number): number {
  const size = Math.abs(x);
  if (size > 709) {
    const half = exp(size / 2); // e^size itself would overflow too early
    return (x < 0 ? -0.5 : 0.5) * half * half;
  }
  const e = exponentialMinusOne(size);
  const value = (e + e / (e + 1)) / 2;
  return x < 0 ? -value : value;
}

/** atan(k / 8), k = 0 ... 8. */
const ATAN_OF_EIGHTHS = [
  0, 0.12435499454676144, 0.24497866312686414, 0.35877067027057225, 0.4636476090008061, 0.5585993153435624,
  0.6435011087932844, 0.7188299996216245, 0.7853981633974483,
];

/** Angle of the point (x, y) in -pi ... pi; relative error at most 6e-16. Signed zeros as in `Math.atan2`. */
export function atan2(y: number, x: number): number {
  const width = Math.abs(x);
  const height = Math.abs(y);
  const steep = height > width;
  const larger = steep ? height : width;
  const ratio = width === height ? (larger > 0 ? 1 : 0) : (steep ? width : height) / larger;
  const k = Math.floor(8 * ratio + 0.5);
  const u = (8 * ratio - k) / (8 + k * ratio); // atan(ratio) = atan(k / 8) + atan(u), |u| <= 1/16
  const z = u * u;
  const low = -1 / 7 + z * (1 / 9 + z * (-1 / 11 + z / 13));
  let angle = ATAN_OF_EIGHTHS[k] + (u + u * z * (-1 / 3 + z * (1 / 5 + z * low)));
  if (steep) angle = HALF_PI_HIGH - (angle - HALF_PI_LOW);
  if (x < 0 || 1 / x < 0) angle = 2 * HALF_PI_HIGH - (angle - 2 * HALF_PI_LOW);
  return y < 0 || 1 / y < 0 ? -angle : angle;
}

/** Arc sine; relative error at most 6e-16. NaN for |x| > 1. */
export function asin(x: number): number {
  return atan2(x, Math.sqrt((1 - x) * (1 + x)));
}

const STEPS = 2048; // table entries per octave, and per unit of tanh's argument
const FLOOR = 9.332636185032189e-302; // 2^-1000
const DELTA = 0.00048828121119489645; // tanh(1 / STEPS), by which the addition theorem goes from entry to entry
const TANH_END = 9; // the table ends at 1, from which tanh 9 differs by 3e-8

/** Fills a table in which each entry follows from its index and the entry before. */
function tabulate(length: number, first: number, next: (i: number, before: number) => number): Float64Array {
  const table = new Float64Array(length).fill(first);
  for (let i = 1; i < length; i++) table[i] = next(i, table[i - 1]);
  return table;
}

// Built when the module loads, so by few operations: the roundings of 18432 steps add up to less than 1e-12. The
// lengths are written out because a bundler drops an unused table only if its arguments are plain literals.
export const log2Table = /* @__PURE__ */ tabulate(2049, 0, (i, y) => {
  const s = 1 / (2 * (STEPS + i) - 1); // log2 of (1 + s) / (1 - s) is the step from log2(m - 1) to log2(m)
  return i < STEPS ? y + 2 * Math.LOG2E * (s + (s * s * s) / 3) : 1;
});
export const exp2Table = /* @__PURE__ */ tabulate(2049, 1, (i, x) => (i < STEPS ? x * 1.0003385080526823 : 2));
const exp2Scales = /* @__PURE__ */ tabulate(2001, FLOOR, (_, x) => 2 * x);
export const tanhTable = /* @__PURE__ */ tabulate(18434, 0, (i, t) => (i < 18432 ? (t + DELTA) / (1 + t * DELTA) : 1));

/**
 * Replaces the first `count` values by their logarithm to base 2, within 4.5e-8 (2.7e-7 dB); exact for powers of two.
 * Anything that is not above 2^-1000 (0, negative, NaN) gives -1000, Infinity gives 1024: the result is always finite.
 */
export function log2InPlace(values: Float64Array, count: number): void {
  const table = log2Table;
  const alias = double;
  const parts = words;
  for (let i = 0; i < count; i++) {
    const x = values[i];
    alias[0] = x > 9.332636185032189e-302 ? x : 9.332636185032189e-302; // FLOOR itself would box each sample
    const high = parts[1];
    const k = (high >> 9) & 2047;
    const between = (high & 511) / 512 + (parts[0] >>> 0) / 2199023255552;
    values[i] = (high >> 20) - 1023 + (table[k] + between * (table[k + 1] - table[k]));
  }
}

/**
 * Replaces the first `count` values x by 2^x, relative error at most 1.5e-8 (1.3e-7 dB); exact for whole x.
 * x is held within -1000 ... 1000 (NaN becomes -1000): the result is always finite and above 0.
 */
export function exp2InPlace(values: Float64Array, count: number): void {
  const table = exp2Table;
  const scales = exp2Scales;
  for (let i = 0; i < count; i++) {
    const x = values[i];
    const position = (x > -1000 ? (x < 1000 ? x : 1000) : -1000) * 2048;
    const whole = Math.floor(position);
    const k = whole & 2047;
    values[i] = (table[k] + (position - whole) * (table[k + 1] - table[k])) * scales[(whole >> 11) + 1000];
  }
}

/**
 * Replaces the first `count` values x by c tanh(g x); `k` begins with g and c. The tangent's relative error is at most 8e-8
 * (7e-7 dB); it is odd, monotone and within -1 ... 1 to the last bit, because linear interpolation is. That of NaN is 1.
 */
export function tanhInPlace(values: Float64Array, count: number, k: Float64Array): void {
  const table = tanhTable;
  const steps = STEPS,
    end = TANH_END * STEPS;
  const gain = k[0],
    ceiling = k[1];
  for (let i = 0; i < count; i++) {
    const x = gain * values[i] * steps;
    const position = x < end ? (x > -end ? x : -end) : end;
    const whole = position | 0; // towards zero
    const sign = whole >> 31; // 0 or -1; where whole is 0, table[0] = 0 needs no sign
    const at = (whole ^ sign) - sign;
    const entry = table[at];
    values[i] = ceiling * ((sign | 1) * entry + (position - whole) * (table[at + 1] - entry));
  }
}
