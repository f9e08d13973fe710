/**
 * Corner correction: rounds off each corner of a clipped signal, between samples, by adding a short polynomial.
 *
 *     k(t)   cubic convolution kernel, 4 samples long                   a low-pass
 *     r(t)   its integral, p + 1 times, minus t^p / p! for t > 0        0 beyond 2 samples: what the low-pass does to a
 *                                                                       jump of the p-th derivative at t = 0
 *     y[n] = f(u[n]) + sum over corners of  jump r(n - t)
 *
 *     where        u(t) = +-corner      on the cubic through the four samples around, by Newton's method
 *     jump         p = 1 (hard): change of slope, u'(t) times the curve's;   p = 2 (cubic curve): u'(t)^2 times it
 *
 * The published corrections integrate a cubic B-spline. This kernel falls more slowly towards high frequencies (18 in
 * place of 24 dB an octave), but it has no second moment: the harmonics keep their level up to 18 kHz at 4x within
 * 0.01 dB, where the B-spline takes 0.3 dB off, and the correction of a curvature vanishes beyond its 4 samples,
 * which no B-spline's does. A step over the whole curve has both its corners between two samples: a straight line then
 * says where, so that they agree, and a curvature is left as it is.
 *
 * Source: F. Esqueda, S. Bilbao, V. Valimaki, "Aliasing Reduction in Clipped Signals", IEEE Transactions on Signal
 * Processing 64(20), 2016; F. Esqueda, V. Valimaki, S. Bilbao, "Aliasing Reduction in Soft-Clipping Algorithms",
 * EUSIPCO 2015 (both from memory). Kernel: R. G. Keys, "Cubic Convolution Interpolation for Digital Image Processing",
 * IEEE Transactions on Acoustics, Speech, and Signal Processing 29(6), 1981; its integrals are derived.
 *
 * @module
 */
import type { ClippingCurve, Corner, Shaping } from './clipping-curve.ts';

const LATE = 3; // the corner's interval ends one sample before the newest, and its correction begins two before that
const NEWTON_STEPS = 4; // from a straight line's estimate to the last digits

/**
 * r for t <= 0 by powers of D: `far` for t = D - 2, `near` for t = D - 1. For t > 0 r is even (p = 1) or odd (p = 2).
 */
const RESIDUALS: Readonly<Record<1 | 2, { readonly far: readonly number[]; readonly near: readonly number[] }>> = {
  1: { far: [0, 0, 0, 0, -1 / 24, 1 / 40, 0], near: [-1 / 60, -1 / 24, 0, 1 / 12, 1 / 6, -3 / 40, 0] },
  2: {
    far: [0, 0, 0, 0, 0, -1 / 120, 1 / 240],
    near: [-1 / 240, -1 / 60, -1 / 48, 0, 1 / 48, 1 / 30, -1 / 80],
  },
};

/** One channel through a curve with corners. */
export class CornerCorrection implements Shaping {
  readonly latencySamples = LATE;
  readonly state: readonly Float64Array[];
  readonly #inPlace: ClippingCurve['inPlace'];
  readonly #corner: Corner;
  readonly #far: Float64Array;
  readonly #near: Float64Array;
  readonly #unit = Float64Array.of(1, 1); // gain and ceiling of the curve as it is
  readonly #pastOfU = new Float64Array(LATE);
  readonly #pastOfV = new Float64Array(LATE);
  readonly #u: Float64Array;
  readonly #v: Float64Array;

  /** @throws RangeError for a curve without a corner */
  constructor(curve: ClippingCurve, longest: number) {
    if (!curve.corner) throw new RangeError('CornerCorrection: the curve must have a corner');
    this.#inPlace = curve.inPlace;
    this.#corner = curve.corner;
    this.#far = Float64Array.from(RESIDUALS[curve.corner.order].far);
    this.#near = Float64Array.from(RESIDUALS[curve.corner.order].near);
    this.#u = new Float64Array(LATE + longest);
    this.#v = new Float64Array(LATE + longest);
    this.state = [this.#pastOfU, this.#pastOfV];
  }

  reset(): void {
    this.#pastOfU.fill(0);
    this.#pastOfV.fill(0);
  }

  run(y: Float64Array, count: number, k: Float64Array): void {
    const u = this.#u,
      v = this.#v,
      pastOfU = this.#pastOfU,
      pastOfV = this.#pastOfV,
      gain = k[0],
      ceiling = k[1];
    for (let i = 0; i < LATE; i++) {
      u[i] = pastOfU[i];
      v[i] = pastOfV[i];
    }
    for (let i = 0; i < count; i++) u[LATE + i] = y[i] = gain * y[i];
    this.#inPlace(y, count, this.#unit);
    for (let i = 0; i < count; i++) v[LATE + i] = y[i];
    this.#correct(u, v, count);
    for (let i = 0; i < count; i++) y[i] = ceiling * v[i];
    for (let i = 0; i < LATE; i++) {
      pastOfU[i] = u[count + i];
      pastOfV[i] = v[count + i];
    }
  }

  /** Corrects `v` around every corner between u[i] and u[i + 1], i = 1 .. count. */
  #correct(u: Float64Array, v: Float64Array, count: number): void {
    const { at, order, jump } = this.#corner;
    const far = this.#far,
      near = this.#near;
    for (let i = 1; i <= count; i++) {
      const from = u[i],
        step = u[i + 1] - from,
        steep = Math.abs(step) > 2 * at;
      for (let sign = 1; sign >= -1; sign -= 2) {
        const level = sign * at;
        if (from > level === u[i + 1] > level || (steep && order === 2)) continue;

        // The cubic c0 + c1 t + c2 t^2 + c3 t^3 through u - level at t = -1, 0, 1, 2, and its root between 0 and 1.
        const before = u[i - 1] - level,
          c0 = from - level,
          next = u[i + 1] - level,
          after = u[i + 2] - level;
        const c1 = -before / 3 - c0 / 2 + next - after / 6,
          c2 = (before + next) / 2 - c0,
          c3 = (after - before) / 6 + (c0 - next) / 2;
        const straight = -c0 / step;
        let t = straight,
          slope = step;
        if (!steep) {
          for (let n = 0; n < NEWTON_STEPS; n++)
            t -= (c0 + t * (c1 + t * (c2 + t * c3))) / (c1 + t * (2 * c2 + 3 * t * c3));
          slope = c1 + t * (2 * c2 + 3 * t * c3);
          // Among samples that no band-limited signal has, the cubic may lead astray.
          if (!(t >= 0 && t <= 1 && slope / step > 0 && slope / step < 3)) {
            t = straight;
            slope = step;
          }
        }

        const rises = step > 0 ? 1 : -1;
        const weight = order === 1 ? sign * jump * slope * rises : rises * jump * slope * slope;
        for (let side = 0; side < 2; side++) {
          const d = side === 0 ? 1 - t : t;
          let r = 0,
            s = 0;
          for (let p = 6; p >= 0; p--) {
            r = r * d + near[p];
            s = s * d + far[p];
          }
          const w = side === 1 && order === 2 ? -weight : weight;
          v[i + side] += w * r;
          v[side === 0 ? i - 1 : i + 2] += w * s;
        }
      }
    }
  }
}
