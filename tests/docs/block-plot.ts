/**
 * A picture of what a block does: measured on the block itself, beside what its equation says.
 */
import type { Processor } from '../../src/core/processor.ts';
import type { AxisRange } from '../../src/plots/range.ts';
import type { Chart } from '../../src/plots/chart.ts';
import { frequencyResponseChart, staticCurveChart } from '../../src/plots/level-charts.ts';
import { render64 } from '../support/processor-laws.ts';
import { constant, impulse } from '../support/signals.ts';

export const RATE = 48000;
export const mono = { sampleRateHz: RATE, channels: 1 };
export const stereo = { sampleRateHz: RATE, channels: 2 };

/** A picture, and the distance between what is measured and what is expected. */
export interface BlockPlot {
  readonly chart: Chart;
  /** Largest distance between the curves, in the unit of the vertical axis, or of the sentence that says otherwise. */
  readonly distance: number;
  readonly allowed: number;
}

/** 97 frequencies, evenly spaced on a logarithmic axis from 20 Hz to 20 kHz. */
export const frequencies = Array.from({ length: 97 }, (_, i) => 20 * 1000 ** (i / 96));

export const decibels = (x: number): number => 20 * Math.log10(Math.max(Math.abs(x), 1e-10));
export const largest = (values: readonly number[]): number =>
  values.reduce((most, v) => Math.max(most, Math.abs(v)), 0);

/** Complex response of a signal at a frequency: the sum of its definition. */
export function responseOf(h: Float64Array, hz: number): { readonly re: number; readonly im: number } {
  let re = 0,
    im = 0;
  for (let n = 0; n < h.length; n++) {
    const phase = (2 * Math.PI * hz * n) / RATE;
    re += h[n] * Math.cos(phase);
    im -= h[n] * Math.sin(phase);
  }
  return { re, im };
}

/** Level of the response of a signal, in decibels. */
export const levelOf = (h: Float64Array, hz: number): number => {
  const { re, im } = responseOf(h, hz);
  return decibels(Math.hypot(re, im));
};

/** What the first channel of a block answers to an impulse in that channel, in the others as given, without its latency. */
export function answer(block: Processor, others: readonly number[] = [], length = 2 ** 14): Float64Array {
  const inputs = Array.from({ length: block.format.channels }, (_, c) =>
    impulse(length + block.latencySamples, 0, c === 0 ? 1 : (others[c - 1] ?? 0)),
  );
  return render64(block, inputs)[0].subarray(block.latencySamples);
}

/** Measured and expected levels over frequency; the axis fits them unless given, which would show what is only rounding. */
export function responsePlot(
  title: string,
  measuredDb: readonly number[],
  expectedDb: readonly number[],
  allowed: number,
  range?: AxisRange,
): BlockPlot {
  return {
    chart: frequencyResponseChart({
      title,
      frequenciesHz: frequencies,
      range,
      curves: [
        { name: 'measured', levelsDb: measuredDb },
        { name: 'equation', levelsDb: expectedDb },
      ],
    }),
    distance: largest(measuredDb.map((level, i) => level - expectedDb[i])),
    allowed,
  };
}

const LEVELS = Array.from({ length: 61 }, (_, i) => i - 60);

/** Output level of a block for constant levels from -60 to 0 dBFS, once it has settled, beside its static curve. */
export function staticPlot(
  title: string,
  create: () => Processor,
  curve: (levelDb: number) => number,
  allowed: number,
): BlockPlot {
  const measured = LEVELS.map((level) => {
    const [output] = render64(create(), [constant(10 ** (level / 20), RATE)]);
    return decibels(output[RATE - 1]);
  });
  const expected = LEVELS.map(curve);
  return {
    chart: staticCurveChart({
      title,
      inputDb: LEVELS,
      curves: [
        { name: 'measured', levelsDb: measured },
        { name: 'equation', levelsDb: expected },
      ],
    }),
    distance: largest(measured.map((level, i) => level - expected[i])),
    allowed,
  };
}
