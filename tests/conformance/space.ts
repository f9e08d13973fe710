/** Reverberation, acoustics, alignment, hits and files against published forms, tables and examples. */
import { applyAlignment } from '../../src/alignment/apply-alignment.ts';
import { airLossDbPerMetre, speedOfSound } from '../../src/simulation/air.ts';
import { firResponse } from '../../src/filters/fir-response.ts';
import { scoreHits } from '../../src/hits/score-hits.ts';
import { panGains } from '../../src/mix/pan.ts';
import { absorption, combGain } from '../../src/reverb/absorption.ts';
import { Allpass } from '../../src/reverb/allpass.ts';
import { measureDecay } from '../../src/reverb/decay-measurement.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { listAt } from '../hits/hits-support.ts';
import { impulse } from '../support/signals.ts';
import { halfDigit } from '../support/tolerances.ts';
import { fromHex } from '../support/wav-bytes.ts';
import alignment from '../vectors/alignment.json' with { type: 'json' };
import onsets from '../vectors/onset_eval.json' with { type: 'json' };
import reverb from '../vectors/reverb.json' with { type: 'json' };
import wav from '../vectors/wav_headers.json' with { type: 'json' };
import { type Check, farthest } from './check.ts';

const RATE = 48000;

/** A response whose energy within each sample is that of a continuous decay. */
const withEnergy = (seconds: number, remaining: (t: number) => number): Float64Array =>
  Float64Array.from({ length: seconds * RATE }, (_, n) => Math.sqrt(remaining(n / RATE) - remaining((n + 1) / RATE)));

const reverberation: Check[] = [
  {
    what: `gain of a comb filter from its decay time, ${reverb.comb_gain.length} delays and times`,
    source: 'M. R. Schroeder, Natural Sounding Artificial Reverberation, JAES 10(3), 1962',
    tolerance: 1e-9,
    unit: '',
    measure: () => farthest(reverb.comb_gain.map(({ tau_ms: tau, T60, g }) => combGain(tau / 1000, T60) - g)),
  },
  {
    what: 'impulse response of an all-pass of gain 0.7: its first six echoes',
    source: 'M. R. Schroeder, Natural Sounding Artificial Reverberation, JAES 10(3), 1962',
    tolerance: halfDigit(5),
    unit: '',
    measure: () => {
      const echoes = reverb['allpass_ir_g0.7'],
        delay = 5,
        y = impulse(delay * echoes.length);
      new Allpass(delay).process(y, y.length, 0.7);
      return farthest(echoes.map((echo, k) => y[k * delay] - echo));
    },
  },
  {
    what: `gain of the absorption at 0 Hz and at half the sample rate, ${reverb.one_pole_absorption.length} loops`,
    source:
      'J.-M. Jot, A. Chaigne, Digital Delay Networks for Designing Artificial Reverberators, AES preprint 3030, 1991 (from memory)',
    tolerance: 1e-9,
    unit: '',
    measure: () =>
      farthest(
        reverb.one_pole_absorption.flatMap(({ tau, T0, Tpi, g0, gpi }) => {
          const { gain, pole } = absorption(tau, T0, Tpi);
          return [gain / (1 - pole) - g0, gain / (1 + pole) - gpi];
        }),
      ),
  },
  ...reverb.exp_decay.flatMap(({ T, C50, C80, D50, EDT }): Check[] => {
    const measured = () =>
      measureDecay(
        withEnergy(Math.ceil(2.5 * T), (t) => 10 ** ((-6 * t) / T)),
        RATE,
      );
    const source = 'ISO 3382-1:2009, Annex A, of an ideal decay';
    return [
      {
        what: `decay of ${T} s: EDT, T20 and T30`,
        source,
        tolerance: 0.0001,
        unit: '%',
        measure: () => {
          const { edtSeconds, t20Seconds, t30Seconds } = measured();
          return farthest([edtSeconds, t20Seconds, t30Seconds].map((seconds) => 100 * (seconds / EDT - 1)));
        },
      },
      {
        what: `decay of ${T} s: C50 and C80`,
        source,
        tolerance: 1e-4,
        unit: 'dB',
        measure: () => {
          const { c50Db, c80Db } = measured();
          return farthest([c50Db - C50, c80Db - C80]);
        },
      },
      {
        what: `decay of ${T} s: D50`,
        source,
        tolerance: 1e-5,
        unit: '',
        measure: () => farthest([measured().d50 - D50]),
      },
    ];
  }),
  {
    what: 'decay of two slopes, 0.4 and 2 s: EDT, T20 and T30',
    source: 'ISO 3382-1:2009, Annex A, least-squares lines',
    by: 'numpy',
    tolerance: 0.5,
    unit: '%',
    measure: () => {
      const { T1, T2, EDT, T20, T30 } = reverb.double_slope;
      const h = Float64Array.from({ length: 4 * RATE }, (_, n) =>
        Math.sqrt(10 ** ((-6 * n) / RATE / T1) + 0.01 * 10 ** ((-6 * n) / RATE / T2)),
      );
      const { edtSeconds, t20Seconds, t30Seconds } = measureDecay(h, RATE);
      return farthest([edtSeconds / EDT, t20Seconds / T20, t30Seconds / T30].map((ratio) => 100 * (ratio - 1)));
    },
  },
];

const acoustics: Check[] = [
  {
    what: `speed of sound at ${alignment.speed.length} temperatures: 331.3 sqrt(1 + T / 273.15)`,
    source: 'ideal gas, dry air (from memory)',
    tolerance: halfDigit(3),
    unit: 'm/s',
    measure: () => farthest(alignment.speed.map(({ T, c_331p3: speed }) => speedOfSound(T) - speed)),
  },
  {
    what: `speed of sound at ${alignment.speed.length} temperatures: 343.2 sqrt(T / 293.15 K)`,
    source: 'ISO 9613-1:1993',
    tolerance: 0.02,
    unit: 'm/s',
    measure: () => farthest(alignment.speed.map(({ T, c_iso9613_form: speed }) => speedOfSound(T) - speed)),
  },
  {
    what: 'loss in air of 20 degrees and 70 %, octaves from 250 Hz to 8 kHz, in per cent of the loss',
    source: 'ISO 9613-2:1996, Table 2 (from memory)',
    tolerance: 5,
    unit: '%',
    measure: () =>
      farthest(
        [1.1, 2.8, 5.0, 9.0, 22.9, 76.6].map(
          (dbPerKm, i) =>
            100 * ((1000 * airLossDbPerMetre(250 * 2 ** i, { temperatureC: 20, humidityPercent: 70 })) / dbPerKm - 1),
        ),
      ),
  },
  ...alignment.ripple.map(({ level_diff_dB: difference, g, peak_dB: peakDb, notch_dB: notchDb }): Check => ({
    what: `sum with a copy 1 ms later and ${difference} dB lower: peaks${notchDb === null ? '' : ' and notches'}`,
    source: 'interference of two waves (mathematics)',
    tolerance: 1e-3,
    unit: 'dB',
    measure: () => {
      const x = impulse(100, 50);
      const { microphones } = applyAlignment(
        { x, copy: x.map((v) => g * v) },
        { copy: { delaySamples: 48, polarity: 1 } },
      );
      const sum = microphones.x.map((v, n) => v + microphones.copy[n]);
      const { magnitudeDb } = firResponse(sum, { sampleRateHz: RATE, frequenciesHz: [3000, 500, 1500, 7500] });
      const [peak, ...notches] = magnitudeDb;
      return farthest([peak - peakDb, ...(notchDb === null ? [] : notches.map((level) => level - notchDb))]);
    },
  })),
  ...(
    [
      ['-3 dB', 'minus3'],
      ['-4.5 dB', 'minus4p5'],
      ['-6 dB', 'minus6'],
    ] as const
  ).map(([law, column]): Check => ({
    what: `panorama by the law of ${law} at ${alignment.pan.length} positions`,
    source: 'common practice: sine and cosine, straight line, and the mean of both',
    tolerance: 5e-5,
    unit: 'dB',
    measure: () =>
      farthest(
        alignment.pan.flatMap((row) =>
          panGains(row.p, law).flatMap((gain, side) => {
            const level = row[column][side];
            return level === null ? [] : [20 * Math.log10(gain) - level];
          }),
        ),
      ),
  })),
];

const hits: Check[] = onsets.cases.map(({ ref, est, window, F, ...row }, i) => ({
  what: `score of example ${i + 1}: ${ref.length} true hits, ${est.length} found, ${1000 * window} ms: F-measure${row.P === undefined ? '' : ', precision, recall'}`,
  source: 'MIREX, audio onset detection; C. Raffel et al., mir_eval, ISMIR 2014 (from memory)',
  tolerance: 1e-9,
  unit: '',
  measure: () => {
    const score = scoreHits(listAt(ref), listAt(est), 1000 * window);
    return farthest([
      score.fMeasure - F,
      ...(row.P === undefined ? [] : [score.precision - row.P, score.recall - row.R]),
    ]);
  },
}));

const files: Check[] = Object.entries(wav.files).map(([name, { hex, expect }]) => ({
  what: `file ${name}: rate, channels, word length and ${expect.interleaved_float.length} samples`,
  source: name.startsWith('bw64')
    ? 'Recommendation ITU-R BS.2088 (from memory)'
    : 'Microsoft and IBM, RIFF, 1991, and Multimedia Standards Update, 1994 (from memory)',
  by: 'ffmpeg 5.1.9',
  tolerance: 0,
  unit: '',
  measure: () => {
    const { sampleRateHz, channels, format } = decodeWav(fromHex(hex));
    return farthest([
      sampleRateHz - expect.rate,
      channels.length - expect.channels,
      format.bitsPerSample - expect.bits,
      ...expect.interleaved_float.map(
        (value, i) => channels[i % channels.length][Math.floor(i / channels.length)] - value,
      ),
    ]);
  },
}));

/** Every check of reverberation, acoustics, alignment, hits and files. */
export const spaceChecks: readonly Check[] = [...reverberation, ...acoustics, ...hits, ...files];
