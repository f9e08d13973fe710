/** Dynamics and nonlinear curves against published equations and worked examples. */
import { dbToGain } from '../../src/core/decibels.ts';
import { SlidingMinimum } from '../../src/core/sliding-minimum.ts';
import { BoxSum } from '../../src/dynamics/box-sum.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import {
  analogue,
  branching,
  decoupled,
  type Detector,
  smoothBranching,
  smoothDecoupled,
} from '../../src/dynamics/detector.ts';
import { Gate } from '../../src/dynamics/gate.ts';
import { expansionCurve, staticCurve } from '../../src/dynamics/static-curve.ts';
import { antiderivativeForm } from '../../src/saturation/antiderivative-form.ts';
import { hardCurve, tanhCurve } from '../../src/saturation/curve-integrals.ts';
import { hardClip, tanhClip } from '../../src/saturation/curves.ts';
import { measureHarmonics } from '../../src/saturation/distortion.ts';
import { render64 } from '../support/processor-laws.ts';
import { constant } from '../support/signals.ts';
import { halfDigit } from '../support/tolerances.ts';
import dynamics from '../vectors/dynamics.json' with { type: 'json' };
import gateState from '../vectors/gate_state.json' with { type: 'json' };
import limiter from '../vectors/limiter.json' with { type: 'json' };
import nonlinear from '../vectors/nonlinear.json' with { type: 'json' };
import { type Check, farthest } from './check.ts';

const TUTORIAL = 'D. Giannoulis, M. Massberg, J. D. Reiss, Digital Dynamic Range Compressor Design, JAES 60(6), 2012';
const mono = { sampleRateHz: 48000, channels: 1 };

const curves: Check[] = [
  ...dynamics.compressor_static.map(({ T, R, W, x_dB: x, y_dB: y }): Check => ({
    what: `static curve of a compressor, threshold ${T} dB, ratio ${R}, knee ${W} dB: ${x.length} levels`,
    source: `${TUTORIAL}, Eq. (4)`,
    tolerance: halfDigit(8),
    unit: 'dB',
    measure: () =>
      farthest(x.map((level, i) => staticCurve(level, { thresholdDb: T, ratio: Number(R), kneeDb: W }) - y[i])),
  })),
  ...dynamics.expander_static.map(({ T, R, W, range_dB: range, x_dB: x, y_dB: y }): Check => ({
    what: `static curve of an expander, threshold ${T} dB, ratio ${R}, knee ${W} dB, range ${range ?? 'none'}: ${x.length} levels`,
    source: `${TUTORIAL}, Eq. (4), mirrored`,
    tolerance: 1e-9,
    unit: 'dB',
    measure: () => {
      const options = { thresholdDb: T, ratio: Number(R), kneeDb: W, rangeDb: range ?? Infinity };
      return farthest(x.map((level, i) => expansionCurve(level, options) - y[i]));
    },
  })),
];

function detectors(): Check[] {
  const { alphaA, alphaR, sample_index: places, values } = dynamics.detectors;
  const published: readonly (readonly [equation: string, detector: Detector, expected: readonly number[]])[] = [
    ['(12), analogue', analogue, values.analog],
    ['(14), decoupled', decoupled, values.decoupled],
    ['(15), branching', branching, values.branching],
    ['(16), smooth branching', smoothBranching, values.smooth_branching],
    ['(17), smooth decoupled', smoothDecoupled, values.smooth_decoupled],
  ];
  return published.map(([equation, detector, expected]) => ({
    what: `peak detector of Eq. ${equation}: ${places.length} samples of steps`,
    source: TUTORIAL,
    tolerance: 5e-12,
    unit: '',
    measure: () => {
      const x = new Float64Array(19200);
      x.fill(1, 0, 4800);
      x.fill(0.25, 4800, 9600);
      detector(x, x.length, Float64Array.of(alphaA, alphaR), 0, new Float64Array(2));
      return farthest(places.map((n, i) => x[n] - expected[i]));
    },
  }));
}

const blocks: Check[] = [
  {
    what: 'gain reduction of a compressor: attack and release after a step of 32 dB, 13 samples',
    source: `${TUTORIAL}, Eqs (16) and (23)`,
    tolerance: 2e-6,
    unit: 'dB',
    measure: () => {
      const example = dynamics.log_ff_compressor;
      const compressor = new Compressor(mono, {
        thresholdDb: example.T,
        ratio: example.R,
        kneeDb: example.W,
        attackMs: 1000 * example.tau_attack,
        releaseMs: 1000 * example.tau_release,
      });
      const x = new Float64Array(19680).fill(dbToGain(-40)).fill(dbToGain(-8), 480, 10080);
      const gainDb = new Float64Array(x.length);
      compressor.process([x], [new Float64Array(x.length)], {
        trace: { levelDb: [new Float64Array(x.length)], gainDb: [gainDb] },
      });
      const expected = example.gain_reduction_dB_smooth_branching;
      return farthest(example.sample_index.map((n, i) => -gainDb[n] - expected[i]));
    },
  },
  {
    what: `states of a gate with hysteresis and hold: ${gateState.state.length} samples that differ`,
    source:
      'M. J. Terrell, J. D. Reiss, M. Sandler, Automatic Noise Gate Settings for Drum Recordings Containing Bleed, EURASIP JASP 2010, section 2.1',
    tolerance: 0,
    unit: 'samples',
    measure: () => {
      const gate = new Gate(mono, {
        thresholdDb: gateState.open_dB,
        hysteresisDb: gateState.open_dB - gateState.close_dB,
        holdMs: (gateState.hold_samples / 48000) * 1000,
        attackMs: 0,
        releaseMs: 0,
        rangeDb: 120,
      });
      const levels = Float64Array.from(gateState.level_dB, (dB) => 10 ** (dB / 20));
      const [output] = render64(gate, [constant(1, levels.length)], [levels]);
      return gateState.state.filter((state, n) => state !== (output[n] > 0.5 ? 1 : 0)).length;
    },
  },
  ...(
    [
      ['an impulse', impulseOf(limiter.impulse.input_impulse), limiter.impulse.gain],
      ['a burst', Float64Array.from(limiter.burst.input), limiter.burst.gain],
    ] as const
  ).map(([what, x, gain]): Check => ({
    what: `gain of a look-ahead limiter around ${what}: sliding minimum and mean of five`,
    source:
      'P. Hamalainen, Smoothing of the Control Signal without Clipped Output in Digital Peak Limiters, DAFx-02, 2002',
    by: 'numpy',
    tolerance: 2 ** -28,
    unit: '',
    measure: () => {
      const scale = 2 ** 28;
      const g = x.map((v) => Math.floor(scale * Math.min(1, limiter.impulse.ceiling / Math.abs(v))));
      new SlidingMinimum(4, scale).process(g, g.length);
      new BoxSum(5, scale).process(g, g.length);
      return farthest(gain.map((expected, n) => g[n] / (5 * scale) - expected));
    },
  })),
];

function impulseOf({ index, value, length }: (typeof limiter.impulse)['input_impulse']): Float64Array {
  const x = new Float64Array(length);
  x[index] = value;
  return x;
}

const shapers: Check[] = [
  ...(
    [
      ['hard clip', hardClip, nonlinear.hard_clip.slice(-4), 'closed form of the Fourier series of a clipped sine'],
      ['tanh', tanhClip, nonlinear.tanh.slice(-4), 'numerical Fourier integral'],
    ] as const
  ).flatMap(([name, curve, rows, by]) =>
    rows.map(({ drive, sine_coeffs_n1357: expected }): Check => ({
      what: `${name} of a sine of amplitude ${drive}: odd harmonics to the 15th`,
      source: 'Fourier series of a shaped sine (mathematics)',
      by,
      tolerance: 1e-8,
      unit: '',
      measure: () => {
        const found = measureHarmonics(curve, { levelDb: 20 * Math.log10(drive), count: 1000 });
        return farthest(expected.map((b, i) => found[2 * i + 1] - Math.abs(b)));
      },
    })),
  ),
  ...(
    [
      ['hard clip', hardCurve, nonlinear.adaa1.hard],
      ['tanh', tanhCurve, nonlinear.adaa1.tanh],
    ] as const
  ).map(([name, curve, expected]): Check => ({
    what: `first-order antiderivative form of ${name}: ${expected.length} samples`,
    source:
      'J. Parker, V. Zavalishin, E. Le Bivic, Reducing the Aliasing of Nonlinear Waveshaping Using Continuous-Time Convolution, DAFx-16, 2016',
    tolerance: 1e-10,
    unit: '',
    measure: () => {
      const y = antiderivativeForm(curve, 1, Float64Array.from(nonlinear.adaa1.input));
      return farthest(expected.map((value, n) => y[n] - value));
    },
  })),
];

/** Every check of dynamics and nonlinear curves. */
export const dynamicsChecks: readonly Check[] = [...curves, ...detectors(), ...blocks, ...shapers];
