import { describe, expect, it } from 'vitest';
import { cubicClip, hardClip, tanhClip } from '../../src/saturation/curves.ts';
import { HardClipper, hardClipperParameters } from '../../src/saturation/hard-clipper.ts';
import { SoftClipper, softClipperParameters } from '../../src/saturation/soft-clipper.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { firstDifference, largestDifference, noise, peak, sine } from '../support/signals.ts';
import { amplitudeAt, POINTS, worstAlias } from '../support/spectrum.ts';
import nonlinear from '../vectors/nonlinear.json';

const RATE = 48000;
const mono = { sampleRateHz: RATE, channels: 1 };
const stereo = { sampleRateHz: RATE, channels: 2 };
const SETTLE = 400; // more than the longest filter
/** A long sine through a clipper, its onset cut off. */
const clipped = (clipper: HardClipper | SoftClipper, hz: number, amplitude = 1): Float64Array =>
  render64(clipper, [sine(POINTS + SETTLE, hz, RATE, amplitude)])[0].subarray(SETTLE);

/**
 * Largest error of the odd harmonics up to 18 kHz against sine coefficients b1, b3, ..., as a share of what is allowed:
 * 0.01 dB, or -120 dB of the fundamental where a harmonic all but vanishes.
 */
function harmonicError(signal: Float64Array, hz: number, coefficients: readonly number[], scale: number): number {
  const hundredthOfDb = 10 ** (0.01 / 20) - 1;
  let worst = 0;
  coefficients.forEach((b, i) => {
    const f = (2 * i + 1) * hz;
    if (f > 18_000) return;
    const expected = Math.abs(scale * b);
    const allowed = Math.max(hundredthOfDb * expected, 1e-6 * scale * coefficients[0]);
    worst = Math.max(worst, Math.abs(amplitudeAt(signal, f, RATE) - expected) / allowed);
  });
  return worst;
}

describe('clipping curves', () => {
  for (const [name, f] of Object.entries({ hardClip, cubicClip, tanhClip })) {
    it(`${name} is odd, rises, has slope 1 at 0 and stays within 1`, () => {
      expect(f(1e-6)).toBeCloseTo(1e-6, 12);
      let last = -1;
      for (let u = -4; u <= 4; u += 1 / 64) {
        expect(f(-u) + f(u)).toBe(0);
        expect(f(u)).toBeGreaterThanOrEqual(last);
        expect(Math.abs(f(u))).toBeLessThanOrEqual(1);
        last = f(u);
      }
    });
  }

  it('the cubic is 1.5 v - 0.5 v^3 with v = u / 1.5', () => {
    for (const u of [0.1, 0.7, 1.2, 1.5]) expect(cubicClip(u)).toBeCloseTo(1.5 * (u / 1.5) - 0.5 * (u / 1.5) ** 3, 14);
  });
});

describe('HardClipper', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new HardClipper(stereo, o),
    table: hardClipperParameters,
    lively: { driveDb: 12, oversampling: 4, ceilingDb: -3, mixPercent: 80 },
    runs: 10,
    length: 1500,
  });

  // Sine coefficients of a clipped sine in closed form, from vectors/nonlinear.json.
  for (const { drive, sine_coeffs_n1357 } of nonlinear.hard_clip.filter(({ drive }) => drive <= 10)) {
    it(`has the harmonics of the Fourier series at a drive of ${drive}, within 0.01 dB`, () => {
      const clipper = new HardClipper(mono, { driveDb: 20 * Math.log10(drive), ceilingDb: -6 });
      const c = 10 ** (-6 / 20);
      expect(harmonicError(clipped(clipper, 997, c), 997, sine_coeffs_n1357, c)).toBeLessThan(1);
    });
  }

  it('folds back at most -90 dBc of 997 Hz driven by 12 dB at 8x (an ideal brick wall: -91.3)', () => {
    const alias = worstAlias(clipped(new HardClipper(mono, { driveDb: 12, oversampling: 8 }), 997), 997, RATE);
    expect(alias).toBeLessThanOrEqual(-90);
    expect(alias).toBeGreaterThan(-95); // better than ideal would mean that the measurement is blind
    const bare = worstAlias(clipped(new HardClipper(mono, { driveDb: 12, oversampling: 1 }), 997), 997, RATE);
    expect(bare).toBeGreaterThan(-60);
  });

  it('passes what stays below the ceiling as a delayed copy within 0.01 dB', () => {
    const clipper = new HardClipper(mono, { oversampling: 8 });
    const x = sine(4000, 3000, RATE, 0.5);
    const [y] = render64(clipper, [x]);
    const late = clipper.latencySamples;
    expect(largestDifference(y.subarray(SETTLE), x.subarray(SETTLE - late, 4000 - late))).toBeLessThan(0.5 * 0.0012);
  });

  it('without oversampling is the curve itself', () => {
    const x = noise(500, 1, 3);
    const [y] = render64(new HardClipper(mono, { oversampling: 1 }), [x]);
    expect(
      firstDifference(
        y,
        x.map((v) => Math.max(-1, Math.min(1, v))),
      ),
    ).toBe(-1);
  });

  it('overshoots its ceiling by what is documented, and not at all with the guard', () => {
    const overshoot = (guard: boolean) =>
      20 * Math.log10(peak(clipped(new HardClipper(mono, { driveDb: 12, oversampling: 8, guard }), 997)));
    expect(overshoot(false)).toBeGreaterThan(0.08);
    expect(overshoot(false)).toBeLessThan(0.2); // 0.13 dB for an ideal filter
    expect(overshoot(true)).toBe(0);
  });

  it('mixes with the input delayed by its own latency: at 0 % that is all there is, bit for bit', () => {
    const x = noise(1000, 2, 3);
    const clipper = new HardClipper(mono, { driveDb: 12, oversampling: 4, mixPercent: 0 });
    const late = clipper.latencySamples;
    expect(late).toBeGreaterThan(0);
    expect(firstDifference(render64(clipper, [x])[0].subarray(late), x.subarray(0, 1000 - late))).toBe(-1);
  });

  it('refuses a factor that is no power of two', () => {
    expect(() => new HardClipper(mono, { oversampling: 3 as never })).toThrow(
      'HardClipper: oversampling must be 1 or 2 or 4 or 8 or 16, got 3',
    );
  });
});

describe('SoftClipper', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new SoftClipper(stereo, o),
    table: softClipperParameters,
    lively: { driveDb: 12, oversampling: 4, curve: 'cubic', guard: true },
    arrange: (o) => (o.antialiasing === 'cornerCorrection' ? { ...o, curve: 'cubic' } : o),
    runs: 10,
    length: 1500,
  });

  it('cubic: third harmonic A^3 / 27 and nothing else, up to where it clips', () => {
    // With v = u / 1.5 and amplitude a of v: h1 = 1.5 a - 0.375 a^3, h3 = 0.125 a^3, from sin^3 t = (3 sin t - sin 3t) / 4.
    for (const a of [0.1, 0.5, 1]) {
      const y = clipped(new SoftClipper(mono, { curve: 'cubic' }), 997, 1.5 * a);
      expect(harmonicError(y, 997, [1.5 * a - 0.375 * a ** 3, 0.125 * a ** 3], 1)).toBeLessThan(1);
      expect(20 * Math.log10(amplitudeAt(y, 5 * 997, RATE))).toBeLessThan(-110);
    }
  });

  // Numerical sine coefficients of tanh(A sin t), from vectors/nonlinear.json.
  for (const row of nonlinear.tanh) {
    it(`tanh: harmonics at A = ${row.drive} within 0.01 dB`, () => {
      expect(harmonicError(clipped(new SoftClipper(mono), 997, row.drive), 997, row.sine_coeffs_n1357, 1)).toBeLessThan(
        1,
      );
    });
  }
});
