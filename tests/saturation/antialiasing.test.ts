/** Antiderivative forms and corner correction: the bare forms, and what they do inside the clippers. */
import { describe, expect, it } from 'vitest';
import { RealFft } from '../../src/core/fft.ts';
import { antiderivativeForm } from '../../src/saturation/antiderivative-form.ts';
import { lossTaps } from '../../src/saturation/average-loss.ts';
import type { ClippingCurve } from '../../src/saturation/clipping-curve.ts';
import { CornerCorrection } from '../../src/saturation/corner-correction.ts';
import { cubicCurve, hardCurve, tanhCurve } from '../../src/saturation/curve-integrals.ts';
import { HardClipper, hardClipperParameters } from '../../src/saturation/hard-clipper.ts';
import { SoftClipper, softClipperParameters } from '../../src/saturation/soft-clipper.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { firstDifference, impulse, largestDifference, noise, peak, sine } from '../support/signals.ts';
import { amplitudeAt, POINTS, worstAlias } from '../support/spectrum.ts';
import nonlinear from '../vectors/nonlinear.json';

const RATE = 48000;
const mono = { sampleRateHz: RATE, channels: 1 };
const stereo = { sampleRateHz: RATE, channels: 2 };
const SETTLE = 400;
const curves = { hard: hardCurve, cubic: cubicCurve, tanh: tanhCurve };
const antialiasings = hardClipperParameters.antialiasing.choices;
type Antialiasing = (typeof antialiasings)[number];

/** The curves in the plainest words. */
const plain = {
  hard: (u: number) => Math.max(-1, Math.min(1, u)),
  cubic: (u: number) => (Math.abs(u) < 1.5 ? u - (4 / 27) * u ** 3 : Math.sign(u)),
  tanh: Math.tanh,
};

/** Integral by Gauss and Legendre with five points in each of `pieces` pieces (abscissas: Abramowitz and Stegun 25.4.30). */
function integral(f: (t: number) => number, from: number, to: number, pieces = 64): number {
  const x = [0, 0.538469310105683, 0.906179845938664],
    w = [0.568888888888889, 0.478628670499366, 0.236926885056189];
  let sum = 0;
  for (let p = 0; p < pieces; p++) {
    const half = (to - from) / pieces / 2,
      middle = from + (2 * p + 1) * half;
    sum += half * w[0] * f(middle);
    for (const i of [1, 2]) sum += half * w[i] * (f(middle - half * x[i]) + f(middle + half * x[i]));
  }
  return sum;
}

function integralsAt(curve: ClippingCurve, u: Float64Array) {
  const [f, first, second] = [u.slice(), u.slice(), u.slice()];
  curve.integrals()(u, u.length, f, first, second);
  return { f, first, second };
}

describe('antiderivatives of the curves', () => {
  for (const [name, curve] of Object.entries(curves)) {
    it(`${name}: F and G are the first and second integral`, () => {
      const f = plain[name as keyof typeof plain];
      const u = Float64Array.from([
        -30, -17.99, -4, -1.51, -1.5, -1.2, -1, -0.3, 0, 1e-9, 0.51, 1, 1.4999, 2, 3.3, 9, 25,
      ]);
      const found = integralsAt(curve, u);
      u.forEach((x, i) => {
        const first = integral(f, 0, x, 2880); // the corners at 1 and 1.5 are ends of pieces for most of these, else 1e-6
        const second = integral((t) => (x - t) * f(t), 0, x, 2880); // Cauchy's formula for a repeated integral
        expect(Math.abs(found.f[i] - f(x))).toBeLessThan(2e-11);
        expect(Math.abs(found.first[i] - first)).toBeLessThan(1e-6);
        expect(Math.abs(found.second[i] - second)).toBeLessThan(1e-6 * Math.max(1, Math.abs(x)));
      });
    });
  }

  it('of tanh are accurate to the last digits, since differences of them are divided by small steps', () => {
    const u = Float64Array.from({ length: 300 }, (_, i) => i * 0.0671);
    const { first, second } = integralsAt(tanhCurve, u);
    u.forEach((x, i) => {
      expect(Math.abs(first[i] - (x + Math.log1p(Math.exp(-2 * x)) - Math.LN2))).toBeLessThan(2e-14 * (1 + x));
      const exact = integral((t) => t + Math.log1p(Math.exp(-2 * t)) - Math.LN2, 0, x, 100);
      expect(Math.abs(second[i] - exact)).toBeLessThan(3e-13 * (1 + x));
    });
  });
});

describe('antiderivative forms', () => {
  const { input, hard, tanh } = nonlinear.adaa1;
  // Outputs of an independent implementation, from vectors/nonlinear.json.
  it('of first order give the published sequences', () => {
    expect(largestDifference(antiderivativeForm(hardCurve, 1, Float64Array.from(input)), hard)).toBeLessThan(1e-10);
    expect(largestDifference(antiderivativeForm(tanhCurve, 1, Float64Array.from(input)), tanh)).toBeLessThan(1e-10);
  });

  for (const { f0, fs, drive_dB, shape, N, bin, ...expected } of nonlinear.adaa1_alias_tests) {
    it(`of first order have the published ratio of alias to harmonics: ${shape} at ${Math.round(f0)} Hz`, () => {
      const ratio = (y: Float64Array): number => {
        const re = new Float64Array(N / 2 + 1),
          im = re.slice();
        new RealFft(N).forward(y.slice(-N), re, im);
        let alias = 0,
          harmonics = 0;
        for (let k = 1; k <= N / 2; k++) {
          const power = re[k] ** 2 + im[k] ** 2;
          if (k % bin === 0) harmonics += power;
          else alias += power;
        }
        return 10 * Math.log10(alias / harmonics);
      };
      const x = sine(N + 10, f0, fs, 10 ** (drive_dB / 20));
      const curve = curves[shape as 'hard' | 'tanh'];
      expect(ratio(x.map(plain[shape as 'hard' | 'tanh']))).toBeCloseTo(expected.alias_to_harmonic_dB_naive, 1);
      expect(ratio(antiderivativeForm(curve, 1, x))).toBeCloseTo(expected.alias_to_harmonic_dB_adaa1, 1);
    });
  }

  it('are the averages of two and of three samples where the curve is a straight line', () => {
    const x = noise(500, 3, 0.99);
    const at = (n: number): number => (n < 0 ? 0 : x[n]);
    const two = x.map((_, n) => (at(n) + at(n - 1)) / 2),
      three = x.map((_, n) => (at(n) + at(n - 1) + at(n - 2)) / 3);
    expect(largestDifference(antiderivativeForm(hardCurve, 1, x), two)).toBeLessThan(1e-11);
    expect(largestDifference(antiderivativeForm(hardCurve, 2, x), three)).toBeLessThan(2e-8);
  });

  it('of second order are 2 G[a, b, c], the mean of f over the triangle that the points span', () => {
    // Hermite and Genocchi: G[a, b, c] is the integral of f(a + s (b - a) + t (c - a)) over s, t >= 0, s + t <= 1.
    for (const [a, b, c] of [
      [0.2, 1.9, -0.7],
      [3, 0.1, 3.0000001],
      [0.4, 0.4, 1.3],
      [-2, 0.3, 2],
    ]) {
      for (const name of ['cubic', 'tanh'] as const) {
        const f = plain[name];
        const mean = 2 * integral((s) => integral((t) => f(a + s * (b - a) + t * (c - a)), 0, 1 - s, 40), 0, 1, 40);
        const [, , y] = antiderivativeForm(curves[name], 2, Float64Array.of(a, b, c));
        expect(Math.abs(y - mean)).toBeLessThan(1e-6);
      }
    }
  });

  // Of the hard curve G is u^3/6 up to 1 and u^2/2 - u/2 + 1/6 beyond. With equal points F = G' takes the quotient's place.
  it.each([
    [[0, 1, 3], 8 / 9], // 2 ((19/6 - 1/6) / 2 - 1/6) / 3
    [[1, 1, 3], 1],
    [[0.5, 0.5, 3], 136 / 150], // 2 ((19/6 - 1/48) / 2.5 - 1/8) / 2.5
    [[0.5, 3, 3], 149 / 150], // 2 (5/2 - (19/6 - 1/48) / 2.5) / 2.5
    [[0, 1e5, 1e5 + 1e-9], 1 - 1e-10 / 3], // 2 (F(1e5) - G(1e5) / 1e5) / 1e5
    [[1e6, 1e6 + 11.3, 1e6 + 23.7], 1], // flat, where the quotients would have lost ten digits
  ])('of second order are of closed form on the hard curve, in any order of the points and odd: %j', (points, mean) => {
    const [a, b, c] = points;
    for (const [p, q, r] of [
      [a, b, c],
      [a, c, b],
      [b, a, c],
      [b, c, a],
      [c, a, b],
      [c, b, a],
    ]) {
      for (const sign of [1, -1]) {
        const y = antiderivativeForm(
          hardCurve,
          2,
          Float64Array.of(p, q, r).map((v) => sign * v),
        )[2];
        expect(Math.abs(sign * y - mean)).toBeLessThan(1e-8);
      }
    }
  });

  it('stay within the curve for any samples', () => {
    for (const curve of Object.values(curves)) {
      for (const order of [1, 2] as const) {
        for (const size of [1e-9, 1e-4, 1, 30, 1e6, 1e11]) {
          expect(peak(antiderivativeForm(curve, order, noise(3000, 7, size)))).toBeLessThanOrEqual(1 + 1e-6);
        }
      }
    }
  });
});

describe('the filter behind a form', () => {
  for (const order of [1, 2] as const) {
    for (const factor of [2, 4, 8, 16]) {
      it(`makes order ${order} at ${factor}x flat within 0.002 dB and late by whole samples`, () => {
        const average = order === 1 ? [0.5, 0.5] : [1 / 3, 1 / 3, 1 / 3];
        const taps = lossTaps(order, factor);
        expect((order + taps.length - 1) % 2).toBe(0);
        for (let f = 0; f <= 20 / 48; f += 1 / 96) {
          const response = (h: ArrayLike<number>) => {
            const w = (2 * Math.PI * f) / factor;
            let [re, im] = [0, 0];
            for (let n = 0; n < h.length; n++) [re, im] = [re + h[n] * Math.cos(w * n), im + h[n] * Math.sin(w * n)];
            return 20 * Math.log10(Math.hypot(re, im));
          };
          expect(Math.abs(response(average) + response(taps))).toBeLessThan(0.002);
        }
        expect(Math.abs(taps.reduce((sum, tap) => sum + tap) - 1)).toBeLessThan(0.0003); // and not upside down
      });
    }
  }

  it('at 1x is half a sample of delay for order 1, and nothing for order 2', () => {
    const taps = lossTaps(1, 1);
    expect(taps.length % 2).toBe(0);
    expect(firstDifference(taps, taps.slice().reverse())).toBe(-1);
    expect(taps.reduce((sum, tap) => sum + tap)).toBeCloseTo(1, 4);
    expect([...lossTaps(2, 1)]).toEqual([1]);
  });

  it('does not touch the level of order 1 without oversampling: a half-sample delay, flat within 0.01 dB to 20 kHz', () => {
    const clipper = new HardClipper(mono, { oversampling: 1, antialiasing: 'firstAntiderivative' });
    for (const hz of [1000, 8000, 16000, 20000]) {
      const y = render64(clipper, [sine(POINTS + SETTLE, hz, RATE, 0.5)])[0].subarray(SETTLE);
      const averageDb = 20 * Math.log10(Math.cos((Math.PI * hz) / RATE)); // -1.25 dB at 8 kHz
      expect(Math.abs(20 * Math.log10(amplitudeAt(y, hz, RATE) / 0.5) - averageDb)).toBeLessThan(0.01);
    }
  });
});

describe('the corner correction', () => {
  /** Keys' cubic convolution kernel (IEEE Trans. ASSP 29(6), 1981, Eq. (15)). */
  const kernel = (t: number): number => {
    const a = Math.abs(t);
    if (a >= 2) return 0;
    return a < 1 ? (1.5 * a - 2.5) * a * a + 1 : ((-0.5 * a + 2.5) * a - 4) * a + 2;
  };
  /** What the kernel does to a jump of the p-th derivative at 0: its integral, p + 1 times, minus t^p / p!. */
  const residual = (p: 1 | 2, t: number): number => {
    let sum = 0;
    for (let from = -2; from < 2 && from < t; from++) {
      sum += integral((s) => kernel(s) * (t - s) ** p, from, Math.min(from + 1, t), 1) / p;
    }
    return sum - (t > 0 ? t ** p / p : 0);
  };
  /** The curve of the samples and, for every corner between two of them, its jump through the residual. */
  const corrected = (shape: 'hard' | 'cubic', u: Float64Array): Float64Array => {
    const y = u.map(plain[shape]);
    const corner = shape === 'hard' ? 1 : 1.5;
    for (let i = 1; i + 2 < u.length; i++) {
      for (const level of [corner, -corner]) {
        if (u[i] > level === u[i + 1] > level) continue;
        const steep = Math.abs(u[i + 1] - u[i]) > 2 * corner;
        if (steep && shape === 'cubic') continue;
        const between = (t: number): number =>
          steep
            ? u[i] + t * (u[i + 1] - u[i])
            : (-u[i - 1] * t * (t - 1) * (t - 2)) / 6 + // Lagrange's cubic through the four samples around
              (u[i] * (t + 1) * (t - 1) * (t - 2)) / 2 -
              (u[i + 1] * (t + 1) * t * (t - 2)) / 2 +
              (u[i + 2] * (t + 1) * t * (t - 1)) / 6;
        let [low, high] = [0, 1];
        for (let n = 0; n < 50; n++) {
          const middle = (low + high) / 2;
          if (between(middle) > level === u[i] > level) low = middle;
          else high = middle;
        }
        const slope = (between(low + 1e-5) - between(low - 1e-5)) / 2e-5;
        // Hard: the slope |u'| ends at the corner or begins there. Cubic: f'' is -4/3 below 1.5, 4/3 above -1.5, 0 beyond.
        const jump = shape === 'hard' ? -Math.sign(level) * Math.abs(slope) : (4 / 3) * slope * Math.abs(slope);
        for (let n = i - 1; n <= i + 2; n++) y[n] += jump * residual(shape === 'hard' ? 1 : 2, n - i - low);
      }
    }
    return y;
  };

  it('is for curves with a corner', () => {
    expect(() => new CornerCorrection(tanhCurve, 8)).toThrow(
      new RangeError('CornerCorrection: the curve must have a corner'),
    );
  });

  for (const shape of ['hard', 'cubic'] as const) {
    it(`adds the ${shape} curve's jumps, low-passed, where the signal passes its corners`, () => {
      const tones = sine(300, 1000, RATE, 2, 0.3).map((v, n) => v + 0.7 * Math.sin(0.41 * n));
      const leaps = Float64Array.from({ length: 300 }, (_, n) => (n % 14 < 7 ? 3.3 : -2.9));
      const quick = sine(300, 3000, RATE, 5, 0.3); // steps of up to 1.95
      for (const u of [tones, leaps, quick]) {
        const y = u.map((v) => v / 2);
        const correction = new CornerCorrection(curves[shape], 300);
        for (const [start, end] of [
          [0, 1],
          [1, 120],
          [120, 300],
        ]) {
          correction.run(y.subarray(start, end), end - start, Float64Array.of(2, 0.5));
        }
        const late = correction.latencySamples;
        const expected = corrected(shape, Float64Array.of(...new Float64Array(8), ...u)).map((v) => v / 2);
        expect(largestDifference(y.subarray(late), expected.subarray(8, 308 - late))).toBeLessThan(1e-8);
      }
    });
  }
});

const create = (
  curve: keyof typeof curves,
  antialiasing: Antialiasing,
  oversampling: 1 | 2 | 4 | 8 | 16,
  driveDb = 12,
): HardClipper | SoftClipper =>
  curve === 'hard'
    ? new HardClipper(mono, { driveDb, oversampling, antialiasing })
    : new SoftClipper(mono, { driveDb, oversampling, antialiasing, curve });

describe('a clipper with antialiasing', () => {
  const alias = (hz: number, ...way: Parameters<typeof create>): number =>
    worstAlias(render64(create(...way), [sine(POINTS + SETTLE, hz, RATE)])[0].subarray(SETTLE), hz, RATE);

  it('at 4x and 4987 Hz folds back at most what is published for an ideal filter, or less', () => {
    expect(alias(4987, 'hard', 'none', 4)).toBeGreaterThan(-56); // ideal: -54
    expect(alias(4987, 'hard', 'firstAntiderivative', 4)).toBeLessThanOrEqual(-76);
    expect(alias(4987, 'hard', 'secondAntiderivative', 4)).toBeLessThanOrEqual(-100);
    expect(alias(4987, 'hard', 'cornerCorrection', 4)).toBeLessThanOrEqual(-91);
  });

  it('folds back less than without, alone too, and at the corner of the cubic', () => {
    const none = alias(997, 'hard', 'none', 1);
    for (const antialiasing of antialiasings.slice(1)) {
      expect(alias(997, 'hard', antialiasing, 1)).toBeLessThan(none - 5);
    }
    expect(alias(4987, 'cubic', 'cornerCorrection', 4)).toBeLessThan(alias(4987, 'cubic', 'none', 4) - 20);
  });

  it('keeps the harmonics of the hard curve within 0.01 dB at 4x with corner correction', () => {
    const { sine_coeffs_n1357 } = nonlinear.hard_clip.filter(({ drive }) => drive === 4)[0];
    const y = render64(create('hard', 'cornerCorrection', 4, 20 * Math.log10(4)), [
      sine(POINTS + SETTLE, 997, RATE),
    ])[0];
    sine_coeffs_n1357.forEach((b, i) => {
      const found = amplitudeAt(y.subarray(SETTLE), (2 * i + 1) * 997, RATE);
      expect(Math.abs(20 * Math.log10(found / Math.abs(b)))).toBeLessThan(0.01);
    });
  });

  it('is late by exactly its latency', () => {
    // Below the ceiling all ways are linear: a tone comes out as the same tone, that many samples later.
    for (const oversampling of [1, 2, 4, 8, 16] as const) {
      for (const antialiasing of antialiasings) {
        const clipper = create('hard', antialiasing, oversampling, 0);
        const x = sine(3000, 3000, RATE, 0.5, 1);
        const y = render64(clipper, [x])[0];
        const late = clipper.latencySamples;
        // Where the averages' loss stays (without oversampling), the level is made equal: the delay is what is tested.
        const level = peak(x.subarray(SETTLE)) / peak(y.subarray(SETTLE));
        const difference = largestDifference(
          y.subarray(SETTLE).map((v) => level * v),
          x.subarray(SETTLE - late, 3000 - late),
        );
        expect(difference).toBeLessThan(0.5 * 0.0012);
      }
    }
  });

  it('spreads an impulse alike to both sides of its latency', () => {
    for (const antialiasing of antialiasings) {
      const clipper = create('hard', antialiasing, 2, 0);
      const late = clipper.latencySamples;
      const [y] = render64(clipper, [impulse(400, 100, 0.5)]);
      expect(
        largestDifference(y.subarray(100, 100 + 2 * late + 1), y.slice(100, 100 + 2 * late + 1).reverse()),
      ).toBeLessThan(1e-9);
      expect(peak(y.subarray(100 + 2 * late + 1))).toBeLessThan(1e-6);
    }
  });

  it('refuses to correct the corner of a curve that has none', () => {
    expect(() => new SoftClipper(mono, { curve: 'tanh', antialiasing: 'cornerCorrection' })).toThrow(
      'SoftClipper: antialiasing must be another with the tanh curve, which has no corner, got "cornerCorrection"',
    );
  });

  it('without it keeps the samples that it had', () => {
    const x = noise(300, 5, 2);
    expect(firstDifference(render64(create('hard', 'none', 1, 0), [x])[0], x.map(plain.hard))).toBe(-1);
  });

  for (const antialiasing of antialiasings.slice(1)) {
    describe(antialiasing, () => {
      obeysProcessorLaws(stereo, {
        create: (o) => new HardClipper(stereo, o),
        table: hardClipperParameters,
        lively: { driveDb: 12, oversampling: 2, mixPercent: 80, antialiasing },
        runs: 2,
        length: 1200,
      });
    });
  }

  describe('cubic corner', () => {
    obeysProcessorLaws(stereo, {
      create: (o) => new SoftClipper(stereo, o),
      table: softClipperParameters,
      lively: { driveDb: 12, oversampling: 2, curve: 'cubic', antialiasing: 'cornerCorrection' },
      arrange: (o) => (o.antialiasing === 'cornerCorrection' ? { ...o, curve: 'cubic' } : o),
      runs: 2,
      length: 1200,
    });
  });
});
