/** Filters and windows against published designs and tables. */
import { frequencyResponse } from '../../src/filters/response.ts';
import { butterworthHighpass, butterworthLowpass } from '../../src/filters/butterworth.ts';
import { linkwitzRiley } from '../../src/filters/crossover.ts';
import { halfBandTaps, kaiserBeta } from '../../src/filters/kaiser-design.ts';
import { onePoleCoefficient, timeConstantFromRise } from '../../src/core/smoothing.ts';
import { designOf } from '../support/cookbook-case.ts';
import { LENGTH, PER_BIN, spectrumDb, windowsByName, windowTable } from '../support/window-figures.ts';
import { halfDigit } from '../support/tolerances.ts';
import biquads from '../vectors/biquads.json' with { type: 'json' };
import butterworth from '../vectors/butterworth.json' with { type: 'json' };
import dynamics from '../vectors/dynamics.json' with { type: 'json' };
import halfBand from '../vectors/halfband.json' with { type: 'json' };
import { type Check, farthest } from './check.ts';

const COOKBOOK = 'R. Bristow-Johnson, Audio EQ Cookbook, W3C Working Group Note, 2021';
const FILTER_NAMES: Readonly<Record<string, string>> = {
  lpf: 'low-pass',
  hpf: 'high-pass',
  bpf_peak: 'band-pass, peak 0 dB',
  bpf_skirt: 'band-pass, constant skirt',
  notch: 'notch',
  apf: 'all-pass',
  peaking: 'peaking',
  lowshelf: 'low shelf',
  highshelf: 'high shelf',
};

function cookbook(): Check[] {
  const types = [...new Set(biquads.cases.map(({ type }) => type))];
  return types.flatMap((type): Check[] => {
    const cases = biquads.cases.filter((wanted) => wanted.type === type);
    const name = `${FILTER_NAMES[type]}, ${cases.length} filters`;
    const by = 'scipy 1.10.1, from the analogue prototypes';
    return [
      {
        what: `${name}: coefficients`,
        source: COOKBOOK,
        by,
        tolerance: 1e-12,
        unit: '',
        measure: () =>
          farthest(
            cases.flatMap((wanted) => {
              const { b0, b1, b2, a1, a2 } = designOf(wanted);
              const published = [...wanted.b, ...wanted.a.slice(1)];
              return [b0, b1, b2, a1, a2].map((value, i) => value - published[i]);
            }),
          ),
      },
      {
        what: `${name}: level of the response`,
        source: COOKBOOK,
        by,
        tolerance: 1e-6,
        unit: 'dB',
        measure: () =>
          farthest(
            cases.flatMap((wanted) => {
              const points = wanted.response.filter(({ mag_dB: level }) => level !== null);
              const { magnitudeDb } = frequencyResponse([designOf(wanted)], {
                sampleRateHz: wanted.fs,
                frequenciesHz: points.map(({ f }) => f),
              });
              return points.map(({ mag_dB: level }, i) => magnitudeDb[i] - (level as number));
            }),
          ),
      },
    ];
  });
}

function butterworths(): Check[] {
  return Object.entries(butterworth.butterworth).map(([order, table]) => ({
    what: `Butterworth low-pass and high-pass of order ${order}: level of the response`,
    source: 'S. Butterworth, On the Theory of Filter Amplifiers, 1930 (from memory)',
    by: 'scipy.signal.butter 1.10.1',
    tolerance: 1e-6,
    unit: 'dB',
    measure: () =>
      farthest(
        (
          [
            [butterworthLowpass, table.digital_lp_1k_48k],
            [butterworthHighpass, table.digital_hp_1k_48k],
          ] as const
        ).flatMap(([design, { f, mag_dB: levels }]) => {
          const sections = design({ sampleRateHz: 48000, frequencyHz: 1000, order: Number(order) });
          const { magnitudeDb } = frequencyResponse(sections, { sampleRateHz: 48000, frequenciesHz: f });
          return levels.map((level, i) => magnitudeDb[i] - level);
        }),
      ),
  }));
}

/** Both bands are -6.02 dB at the crossover, and the squared Butterworth levels elsewhere. */
function crossovers(): Check[] {
  return [4, 8].map((order) => ({
    what: `Linkwitz-Riley of order ${order}: both bands at the crossover, 20 log10(1/2)`,
    source: 'S. H. Linkwitz, Active Crossover Networks for Noncoincident Drivers, JAES 24(1), 1976 (from memory)',
    tolerance: 1e-9,
    unit: 'dB',
    measure: () => {
      const { lowpass, highpass } = linkwitzRiley({ sampleRateHz: 48000, frequencyHz: 1000, order });
      const at = { sampleRateHz: 48000, frequenciesHz: [1000] };
      return farthest(
        [lowpass, highpass].map((band) => frequencyResponse(band, at).magnitudeDb[0] - 20 * Math.log10(0.5)),
      );
    },
  }));
}

function windows(): Check[] {
  return Object.entries(windowsByName).flatMap(([name, window]): Check[] => {
    const { ENBW_bins: bandwidth, scallop_loss_dB: loss } = windowTable[name];
    const source = 'F. J. Harris, On the Use of Windows for Harmonic Analysis, Proc. IEEE 66(1), 1978 (from memory)';
    const by = 'scipy 1.10.1';
    return [
      {
        what: `window ${name}: equivalent noise bandwidth in bins`,
        source,
        by,
        tolerance: halfDigit(5),
        unit: '',
        measure: () => {
          const w = window(LENGTH, { periodic: true });
          const sum = w.reduce((a, x) => a + x, 0);
          return Math.abs((LENGTH * w.reduce((a, x) => a + x * x, 0)) / sum ** 2 - bandwidth);
        },
      },
      {
        what: `window ${name}: scallop loss`,
        source,
        by,
        tolerance: halfDigit(4),
        unit: 'dB',
        measure: () => Math.abs(-spectrumDb(window(LENGTH, { periodic: true }))[PER_BIN / 2] - loss),
      },
    ];
  });
}

const kaiser: Check[] = [
  {
    what: `Kaiser beta for ${Object.keys(halfBand.kaiser_beta).length} attenuations from 30 to 120 dB`,
    source:
      'J. F. Kaiser, Nonrecursive Digital Filter Design Using the I0-sinh Window Function, ISCAS 1974 (from memory)',
    by: 'scipy.signal.kaiser_beta 1.10.1',
    tolerance: 1e-9,
    unit: '',
    measure: () => farthest(Object.entries(halfBand.kaiser_beta).map(([dB, beta]) => kaiserBeta(Number(dB)) - beta)),
  },
  ...halfBand.filters
    .filter(({ taps }) => taps !== null)
    .map(({ N: length, beta, taps }): Check => ({
      what: `half-band filter of ${length} taps, beta ${beta}: taps`,
      source:
        'J. F. Kaiser, Nonrecursive Digital Filter Design Using the I0-sinh Window Function, ISCAS 1974 (from memory)',
      by: 'numpy, 0.5 sinc(m / 2) times the window',
      tolerance: 1e-12,
      unit: '',
      measure: () => {
        const own = halfBandTaps({ length, beta });
        return farthest((taps ?? []).map((tap, i) => own[i] - tap));
      },
    })),
  {
    what: `one-pole coefficient from the time constant, ${dynamics.one_pole.length} times and rates`,
    source:
      'D. Giannoulis, M. Massberg, J. D. Reiss, Digital Dynamic Range Compressor Design, JAES 60(6), 2012, Eq. (7)',
    tolerance: 1e-12,
    unit: '',
    measure: () =>
      farthest(
        dynamics.one_pole.map(({ fs, tau_s: tau, alpha_tau: alpha }) => onePoleCoefficient(1000 * tau, fs) - alpha),
      ),
  },
  {
    what: `one-pole coefficient from a rise of 10 to 90 %, ${dynamics.one_pole.length} times and rates`,
    source:
      'D. Giannoulis, M. Massberg, J. D. Reiss, Digital Dynamic Range Compressor Design, JAES 60(6), 2012, Eq. (8)',
    tolerance: 1e-12,
    unit: '',
    measure: () =>
      farthest(
        dynamics.one_pole.map(
          ({ fs, tau_s: tau, alpha_10_90: alpha }) => onePoleCoefficient(timeConstantFromRise(1000 * tau), fs) - alpha,
        ),
      ),
  },
];

/** Every check of filters and windows. */
export const filterChecks: readonly Check[] = [
  ...cookbook(),
  ...butterworths(),
  ...crossovers(),
  ...windows(),
  ...kaiser,
];
