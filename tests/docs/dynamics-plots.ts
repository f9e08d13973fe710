/** Pictures of the dynamics blocks and of the curves that shape a wave. */
import { Compressor } from '../../src/dynamics/compressor.ts';
import { DynamicBand } from '../../src/dynamics/dynamic-band.ts';
import { Expander } from '../../src/dynamics/expander.ts';
import { Gate } from '../../src/dynamics/gate.ts';
import { Limiter } from '../../src/dynamics/limiter.ts';
import { expansionCurve, staticCurve, staticGain, upwardCurve } from '../../src/dynamics/static-curve.ts';
import { TransientShaper } from '../../src/dynamics/transient-shaper.ts';
import { UpwardCompressor } from '../../src/dynamics/upward-compressor.ts';
import type { Processor } from '../../src/core/processor.ts';
import { linearAxis } from '../../src/plots/axis.ts';
import { timeChart } from '../../src/plots/time-chart.ts';
import { HardClipper } from '../../src/saturation/hard-clipper.ts';
import { Hysteresis } from '../../src/saturation/hysteresis.ts';
import { Saturator } from '../../src/saturation/saturator.ts';
import { SoftClipper } from '../../src/saturation/soft-clipper.ts';
import { render64 } from '../support/processor-laws.ts';
import { peak, sine } from '../support/signals.ts';
import { type BlockPlot, decibels, largest, mono, RATE, staticPlot } from './block-plot.ts';

/** A drum hit: a sine of 200 Hz that dies away, again and again. */
const hits = (peaks: readonly number[], seconds = 0.25): Float64Array => {
  const each = Math.round(seconds * RATE);
  return Float64Array.from({ length: peaks.length * each }, (_, n) => {
    const t = n % each;
    return peaks[Math.floor(n / each)] * Math.exp(-t / 2400) * Math.sin((2 * Math.PI * 200 * t) / RATE);
  });
};

/** Level and gain of a block over a signal. */
function traceOf(block: Processor, x: Float64Array): { readonly levelDb: Float64Array; readonly gainDb: Float64Array } {
  const trace = { levelDb: [new Float64Array(x.length)], gainDb: [new Float64Array(x.length)] };
  block.process([x], [new Float64Array(x.length)], { trace });
  return { levelDb: trace.levelDb[0], gainDb: trace.gainDb[0] };
}

function tracePlot(
  title: string,
  block: Processor,
  x: Float64Array,
  distance: (gainDb: Float64Array) => number,
  allowed: number,
): BlockPlot {
  const { levelDb, gainDb } = traceOf(block, x);
  return {
    chart: timeChart({
      title,
      label: 'Level, gain (dB)',
      sampleRateHz: RATE,
      range: { from: -60, to: 12 },
      traces: [
        { name: 'level', values: levelDb },
        { name: 'gain', values: gainDb, dash: 'dashed' },
      ],
    }),
    distance: distance(gainDb),
    allowed,
  };
}

/** Open for the loud hits and closed between them: 0 dB and the range, wherever it has settled. */
const gate = (): BlockPlot =>
  tracePlot(
    'A gate at -20 dB over three hits, the second too soft',
    new Gate(mono, { thresholdDb: -20, rangeDb: 40, attackMs: 0.5, holdMs: 30, releaseMs: 20 }),
    hits([0.5, 0.05, 0.7]),
    (gainDb) => Math.max(Math.abs(Math.max(...gainDb)), Math.abs(Math.min(...gainDb.subarray(20000, 24000)) + 40)),
    0.05,
  );

const expander = (): BlockPlot => {
  const options = { thresholdDb: -30, ratio: 3, kneeDb: 6, rangeDb: 24 };
  return staticPlot(
    'An expander, ratio 3, range 24 dB',
    () => new Expander(mono, options),
    (x) => expansionCurve(x, options),
    1e-3,
  );
};

const compressor = (): BlockPlot => {
  const options = { thresholdDb: -24, ratio: 4, kneeDb: 12 };
  return staticPlot(
    'A compressor, ratio 4, knee 12 dB',
    () => new Compressor(mono, options),
    (x) => staticCurve(x, options),
    1e-3,
  );
};

const upwardCompressor = (): BlockPlot => {
  const options = { thresholdDb: -24, ratio: 2, kneeDb: 6, rangeDb: 12 };
  return staticPlot(
    'An upward compressor, ratio 2, range 12 dB',
    () => new UpwardCompressor(mono, options),
    (x) => upwardCurve(x, options),
    1e-3,
  );
};

const limiter = (): BlockPlot =>
  staticPlot(
    'A limiter at -12 dB',
    () => new Limiter(mono, { ceilingDb: -12 }),
    (x) => Math.min(x, -12),
    1e-5,
  );

/** Gain at the middle of the band, for tones of all levels there, once they have lasted. */
function dynamicBand(): BlockPlot {
  const options = {
    thresholdDb: -30,
    ratio: 3,
    kneeDb: 6,
    rangeDb: -12,
    frequencyHz: 1000,
    attackMs: 0.2,
    releaseMs: 1000,
  };
  const levels = Array.from({ length: 25 }, (_, i) => -60 + 2.5 * i);
  const measured = levels.map((level) => {
    const x = sine(RATE, 1000, RATE, 10 ** (level / 20));
    const [y] = render64(new DynamicBand(mono, options), [x]);
    return level + decibels(peak(y.subarray(RATE - 4800)) / peak(x.subarray(RATE - 4800)));
  });
  const expected = levels.map((level) => level + Math.max(-12, staticGain(level, options)));
  const { chart } = staticPlot(
    '',
    () => new Limiter(mono),
    (x) => x,
    0,
  );
  return {
    chart: {
      ...chart,
      title: 'A tone in the middle of a dynamic band',
      marks: [
        { kind: 'line', name: 'measured', x: levels, y: measured },
        { kind: 'line', name: 'equation', x: levels, y: expected, dash: 'dashed' },
      ],
    },
    distance: largest(measured.map((level, i) => level - expected[i])),
    allowed: 0.6, // a detector that follows the wave stays a little below its peak
  };
}

/** Level-independent: a hit of a tenth gets the same gain. */
function transientShaper(): BlockPlot {
  const create = () => new TransientShaper(mono, { attackDb: 9, sustainDb: -9 });
  const soft = traceOf(create(), hits([0.05, 0.05])).gainDb;
  return tracePlot(
    'A transient shaper: 9 dB more attack, 9 dB less sustain',
    create(),
    hits([0.5, 0.5]),
    (gainDb) => largest(Array.from(gainDb.subarray(RATE / 4), (v, n) => v - soft[n + RATE / 4])),
    0.01,
  );
}

/** Output over input of a sine, from one trough to the next crest, beside a curve. */
function transferPlot(
  title: string,
  create: () => Processor,
  curve: (x: number) => number,
  allowed: number,
  hz = 20,
): BlockPlot {
  const block = create();
  const period = RATE / hz,
    length = Math.max(8 * period, RATE / 5);
  const x = sine(length + block.latencySamples, hz, RATE, 1);
  const y = render64(block, [x])[0].subarray(block.latencySamples);
  const crest = Math.floor(length / period) * period - (3 * period) / 4;
  const places = Array.from({ length: 121 }, (_, i) => Math.round(crest - period / 2 + (i * period) / 240));
  const input = places.map((n) => x[n]);
  const measured = places.map((n) => y[n]);
  const expected = input.map(curve);
  return {
    chart: {
      title,
      x: linearAxis({ label: 'Input', from: -1, to: 1 }),
      y: linearAxis({ label: 'Output', from: -1, to: 1 }),
      marks: [
        { kind: 'line', name: 'measured', x: input, y: measured },
        { kind: 'line', name: 'equation', x: input, y: expected, dash: 'dashed' },
      ],
    },
    distance: largest(measured.map((v, i) => v - expected[i])),
    allowed,
  };
}

const half = 10 ** (-6 / 20);
const cubic = (u: number): number => (Math.abs(u) < 1.5 ? u - (4 / 27) * u ** 3 : Math.sign(u));

const hardClipper = (): BlockPlot =>
  transferPlot(
    'A hard clipper at -6 dB',
    () => new HardClipper(mono, { ceilingDb: -6, oversampling: 8 }),
    (x) => Math.max(-half, Math.min(half, x)),
    0.02,
  );

const softClipper = (): BlockPlot =>
  transferPlot(
    'A cubic soft clipper at -6 dB',
    () => new SoftClipper(mono, { ceilingDb: -6, curve: 'cubic', oversampling: 8 }),
    (x) => half * cubic(x / half),
    1e-3,
  );

const saturator = (): BlockPlot =>
  transferPlot(
    'A saturator: tanh, driven by 12 dB',
    () => new Saturator(mono, { driveDb: 12, levelMatch: false, outputGainDb: 12 }),
    (x) => Math.tanh(x * 10 ** (12 / 20)),
    0.02,
    400,
  );

/** A late cycle of a sine: the loop closes, and it is run through against the clock, so that energy is lost. */
function hysteresis(): BlockPlot {
  const block = new Hysteresis(mono, { driveDb: 12 });
  const period = RATE / 60;
  const x = sine(12 * period, 60, RATE, 0.8);
  const later = new Float64Array(x.length + block.latencySamples);
  later.set(x);
  const y = render64(block, [later])[0].subarray(block.latencySamples);
  const cycle = Array.from({ length: 161 }, (_, i) => 10 * period + (i * period) / 160);
  return {
    chart: {
      title: 'The loop of a magnetic hysteresis',
      x: linearAxis({ label: 'Input', from: -1, to: 1 }),
      y: linearAxis({ label: 'Output', from: -1, to: 1 }),
      marks: [{ kind: 'line', x: cycle.map((n) => x[n]), y: cycle.map((n) => y[n]) }],
    },
    distance: Math.abs(y[10 * period] - y[11 * period]), // it closes
    allowed: 1e-3,
  };
}

/** Every block of these two folders with its picture. */
export const dynamicsPlots: Readonly<Record<string, () => BlockPlot>> = {
  gate,
  expander,
  compressor,
  upwardCompressor,
  dynamicBand,
  transientShaper,
  limiter,
  hardClipper,
  softClipper,
  saturator,
  hysteresis,
};
