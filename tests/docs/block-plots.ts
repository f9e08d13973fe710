/** The pictures of all blocks, by the names of a plan. */
import { Delay } from '../../src/core/delay.ts';
import { Gain } from '../../src/core/gain.ts';
import { MidSide } from '../../src/core/mid-side.ts';
import { Polarity } from '../../src/core/polarity.ts';
import { BandSplit } from '../../src/filters/band-split.ts';
import { peaking, highpass } from '../../src/filters/biquad-design.ts';
import { linkwitzRiley } from '../../src/filters/crossover.ts';
import { DcBlocker } from '../../src/filters/dc-blocker.ts';
import { Equaliser } from '../../src/filters/equaliser.ts';
import { FractionalDelay } from '../../src/filters/fractional-delay.ts';
import { MonoBelow } from '../../src/filters/mono-below.ts';
import { PhaseRotator } from '../../src/filters/phase-rotator.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { linearAxis } from '../../src/plots/axis.ts';
import { timeChart } from '../../src/plots/time-chart.ts';
import { render64 } from '../support/processor-laws.ts';
import { constant, impulse, sine } from '../support/signals.ts';
import {
  answer,
  type BlockPlot,
  decibels,
  frequencies,
  largest,
  levelOf,
  mono,
  RATE,
  responseOf,
  responsePlot,
  stereo,
} from './block-plot.ts';
import { dynamicsPlots } from './dynamics-plots.ts';
import { spacePlots } from './space-plots.ts';

const over = (values: Float64Array, from: Float64Array): number => largest(Array.from(values, (v, n) => v - from[n]));

/** Measured values over time beside the expected ones. */
function timePlot(
  title: string,
  label: string,
  measured: Float64Array,
  expected: Float64Array,
  allowed: number,
): BlockPlot {
  return {
    chart: timeChart({
      title,
      label,
      sampleRateHz: RATE,
      traces: [
        { name: 'measured', values: measured },
        { name: 'equation', values: expected, dash: 'dashed' },
      ],
    }),
    distance: over(measured, expected),
    allowed,
  };
}

function gain(): BlockPlot {
  const block = new Gain(mono, { gainDb: 0 });
  const x = constant(1, 1440);
  block.set({ gainDb: -12 });
  const [y] = render64(block, [x]);
  const to = 10 ** (-12 / 20);
  const expected = y.map((_, n) => 1 + (to - 1) * 0.5 * (1 - Math.cos(Math.PI * Math.min(1, n / 960))));
  return timePlot('Gain, set from 0 to -12 dB: a raised cosine of 20 ms', 'Gain', y, expected, 2e-3); // a step of a sample
}

function polarity(): BlockPlot {
  const x = sine(480, 200, RATE);
  const [y] = render64(new Polarity(mono, { inverted: true }), [x]);
  return timePlot(
    'An inverted sine',
    'Amplitude',
    y,
    x.map((v) => -v),
    0,
  );
}

function delay(): BlockPlot {
  const [y] = render64(new Delay(mono, { delaySamples: 96 }), [impulse(240, 24)]);
  return timePlot('An impulse, delayed by 96 samples', 'Amplitude', y, impulse(240, 120), 0);
}

function midSide(): BlockPlot {
  const [left, right] = [sine(480, 200, RATE), sine(480, 400, RATE)];
  const [middle] = render64(new MidSide(stereo, { direction: 'encode' }), [left, right]);
  const scale = middle[60] / (left[60] + right[60]);
  return timePlot(
    'The middle of two channels: a share of their sum',
    'Amplitude',
    middle,
    left.map((v, n) => scale * (v + right[n])),
    1e-12,
  );
}

function fractionalDelay(): BlockPlot {
  const block = new FractionalDelay(mono, { delaySamples: 0.5 });
  const [h] = render64(block, [impulse(512)]); // it begins before the latency: a kernel has two sides
  return responsePlot(
    'Half a sample late: level over frequency',
    frequencies.map((hz) => levelOf(h, hz)),
    frequencies.map(() => 0),
    0.05,
    { from: -1, to: 1 },
  );
}

function equaliser(): BlockPlot {
  const bands = [
    { type: 'highpass', frequencyHz: 60 },
    { type: 'peaking', frequencyHz: 400, q: 1.4, gainDb: -6 },
    { type: 'peaking', frequencyHz: 4000, q: 0.8, gainDb: 5 },
  ] as const;
  const at = { sampleRateHz: RATE };
  const sections = [
    highpass({ ...at, frequencyHz: 60 }),
    peaking({ ...at, frequencyHz: 400, q: 1.4, gainDb: -6 }),
    peaking({ ...at, frequencyHz: 4000, q: 0.8, gainDb: 5 }),
  ];
  const h = answer(new Equaliser(mono, bands));
  const { magnitudeDb } = frequencyResponse(sections, { ...at, frequenciesHz: frequencies });
  return responsePlot(
    'Three bands of an equaliser',
    frequencies.map((hz) => levelOf(h, hz)),
    [...magnitudeDb],
    1e-6,
  );
}

/** One pole and a zero at 0 Hz, in closed form; the impulse response is cut where it has fallen far enough. */
function dcBlocker(): BlockPlot {
  const block = new DcBlocker(mono);
  const h = answer(block, [], 2 ** 15);
  const pole = h[2] / h[1]; // the response beyond its first sample decays by the pole
  const scale = h[0];
  const expected = frequencies.map((hz) => {
    const w = (2 * Math.PI * hz) / RATE;
    const numerator = 2 * Math.sin(w / 2),
      denominator = Math.sqrt(1 - 2 * pole * Math.cos(w) + pole * pole);
    return decibels((scale * numerator) / denominator);
  });
  return responsePlot(
    'What a DC blocker leaves',
    frequencies.map((hz) => levelOf(h, hz)),
    expected,
    1e-4,
  );
}

function bandSplit(): BlockPlot {
  const empty = () => new Gain(mono);
  const h = answer(new BandSplit(mono, { firstHz: 200, secondHz: 3000 }, [empty(), empty(), empty()]));
  return responsePlot(
    'Three bands, added up again',
    frequencies.map((hz) => levelOf(h, hz)),
    frequencies.map(() => 0),
    1e-3,
    { from: -1, to: 1 },
  );
}

/** The side of a stereo signal below the corner is gone: an impulse in one channel and its opposite in the other. */
function monoBelow(): BlockPlot {
  const h = answer(new MonoBelow(stereo, { frequencyHz: 150 }), [-1]);
  const { highpass: upper } = linkwitzRiley({ sampleRateHz: RATE, frequencyHz: 150, order: 4 });
  const { magnitudeDb } = frequencyResponse(upper, { sampleRateHz: RATE, frequenciesHz: frequencies });
  return responsePlot(
    'What is left of the side',
    frequencies.map((hz) => levelOf(h, hz)),
    [...magnitudeDb],
    1e-4,
  );
}

function phaseRotator(): BlockPlot {
  const h = answer(new PhaseRotator(mono, { frequencyHz: 150, order: 1 }));
  const level = frequencies.map((hz) => levelOf(h, hz));
  let turns = 0,
    before = 0;
  const degrees = frequencies.map((hz) => {
    const { re, im } = responseOf(h, hz);
    const phase = (Math.atan2(im, re) * 180) / Math.PI;
    if (phase - before > 180) turns--;
    before = phase;
    return phase + 360 * turns;
  });
  const expected = frequencies.map((hz) => {
    const ratio = Math.tan((Math.PI * hz) / RATE) / Math.tan((Math.PI * 150) / RATE);
    return (-2 * Math.atan(ratio) * 180) / Math.PI;
  });
  const { x } = responsePlot('', level, level, 0).chart;
  return {
    chart: {
      title: 'Phase of a first-order all-pass at 150 Hz',
      x,
      y: linearAxis({ label: 'Phase (degrees)', from: -180, to: 0 }),
      marks: [
        { kind: 'line', name: 'measured', x: frequencies, y: degrees },
        { kind: 'line', name: 'equation', x: frequencies, y: expected, dash: 'dashed' },
      ],
    },
    distance: Math.max(largest(level), largest(degrees.map((d, i) => d - expected[i]))),
    allowed: 0.01,
  };
}

/** Every block with its picture. */
export const blockPlots: Readonly<Record<string, () => BlockPlot>> = {
  gain,
  polarity,
  delay,
  fractionalDelay,
  midSide,
  equaliser,
  dcBlocker,
  bandSplit,
  monoBelow,
  phaseRotator,
  ...dynamicsPlots,
  ...spacePlots,
};
