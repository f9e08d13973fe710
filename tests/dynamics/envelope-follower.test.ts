import { describe, expect, it } from 'vitest';
import { EnvelopeFollower, envelopeFollowerParameters } from '../../src/dynamics/envelope-follower.ts';
import vectors from '../vectors/dynamics.json';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { constant, firstDifference, noise, sine } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };

describe('EnvelopeFollower', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new EnvelopeFollower(stereo, o),
    table: envelopeFollowerParameters,
    lively: { attackMs: 0.1, releaseMs: 1, rmsMs: 0.5 },
  });

  describe('of rms, smooth decoupled', () => {
    obeysProcessorLaws(mono, {
      create: (o) => new EnvelopeFollower(mono, { detector: 'rms', smoothing: 'smoothDecoupled', ...o }),
      table: envelopeFollowerParameters,
      lively: { attackMs: 0.2, releaseMs: 2, rmsMs: 1 },
      runs: 10,
    });
  });

  const { values, sample_index, tau_attack, tau_release } = vectors.detectors;
  const published = [
    ['analogue', values.analog],
    ['decoupled', values.decoupled],
    ['branching', values.branching],
    ['smoothBranching', values.smooth_branching],
    ['smoothDecoupled', values.smooth_decoupled],
  ] as const;

  // Giannoulis, Massberg, Reiss, JAES 60(6), 2012, Eqs (12), (14) to (17), evaluated by another program.
  it.each(published)('smooths the magnitude as %s says', (smoothing, expected) => {
    const follower = new EnvelopeFollower(mono, {
      smoothing,
      attackMs: tau_attack * 1000,
      releaseMs: tau_release * 1000,
    });
    const x = new Float64Array(19200);
    for (let n = 0; n < 9600; n++) x[n] = (n % 2 === 0 ? 1 : -1) * (n < 4800 ? 1 : 0.25);
    const [y] = render64(follower, [x]);
    // 12 printed decimals; the coefficients of the vector have 15 digits.
    expect(Math.max(...sample_index.map((n, i) => Math.abs(y[n] - expected[i])))).toBeLessThan(1e-11);
  });

  it('is P / sqrt 2 of a sine in rms and |x| without smoothing', () => {
    const follower = new EnvelopeFollower(mono, { detector: 'rms', attackMs: 0, releaseMs: 0, rmsMs: 50 });
    const [y] = render64(follower, [sine(48000, 1000, 48000, 0.5)]);
    // 50 ms leave a ripple of +-0.007 dB, 0.08 %.
    expect(Math.abs(y[47999] / (0.5 / Math.SQRT2) - 1)).toBeLessThan(0.0008);
    const x = noise(300);
    const [magnitude] = render64(
      new EnvelopeFollower(mono, { smoothing: 'smoothDecoupled', attackMs: 0, releaseMs: 0 }),
      [x],
    );
    expect(firstDifference(magnitude, x.map(Math.abs))).toBe(-1);
  });

  it('reaches 63.2 % in the attack time, and falls to 36.8 % in the release time', () => {
    const follower = new EnvelopeFollower(mono, { attackMs: 10, releaseMs: 50 });
    const x = constant(0, 9600).fill(1, 0, 4800);
    const [y] = render64(follower, [x]);
    expect(y[480 - 1]).toBeCloseTo(1 - Math.exp(-1), 12); // index n holds n + 1 steps
    expect(y[4800 + 2400 - 1]).toBeCloseTo((1 - Math.exp(-10)) * Math.exp(-1), 12);
  });

  it('has fallen by 120 dB when its tail ends, and not long before', () => {
    const follower = new EnvelopeFollower(mono, { detector: 'rms', attackMs: 0, releaseMs: 0, rmsMs: 40 });
    const tail = follower.tailSamples;
    render64(follower, [constant(1, 48_000)]);
    const [y] = render64(follower, [constant(0, tail)]);
    // As a mean square the level falls by 10 lg e = 4.34 dB in each time constant, of 1920 samples here.
    expect(Math.abs(tail - 120 / (10 / Math.LN10 / 1920))).toBeLessThan(2);
    expect(20 * Math.log10(y[tail - 1])).toBeCloseTo(-120, 1);
  });

  it('follows each channel by itself', () => {
    const [a, b] = [noise(500, 1), noise(500, 2, 0.1)];
    const both = render64(new EnvelopeFollower(stereo), [a, b]);
    expect(firstDifference(both[1], render64(new EnvelopeFollower(mono), [b])[0])).toBe(-1);
    expect(firstDifference(both[0], render64(new EnvelopeFollower(mono), [a])[0])).toBe(-1);
  });

  it('comes to rest at exactly 0 in silence', () => {
    const follower = new EnvelopeFollower(mono, {
      detector: 'rms',
      smoothing: 'smoothDecoupled',
      releaseMs: 1,
      rmsMs: 1,
    });
    render64(follower, [noise(1000)]);
    expect(render64(follower, [constant(0, 48000)])[0][47999]).toBe(0);
  });
});
