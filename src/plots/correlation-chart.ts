/**
 * Correlation over delay, with the peak that was chosen.
 * @module
 */
import { linearAxis } from './axis.ts';
import { type Chart, type ChartHead, DEFAULT_WIDTH, headOf } from './chart.ts';
import { evenRange } from './range.ts';
import { sampledMark } from './sampled-mark.ts';
import { numeral } from './ticks.ts';

/** What a correlation's chart shows. */
export interface CorrelationChartOptions extends ChartHead {
  /** Delay of the first value. */
  readonly startSamples: number;
  /** Delay from value to value, above 0. */
  readonly stepSamples: number;
  /** Correlation at every lag. */
  readonly values: ArrayLike<number>;
  /** Delay that was chosen. */
  readonly chosenSamples: number;
}

/** Correlation over delay in samples. @throws RangeError unless there are two values or more */
export function correlationChart(options: CorrelationChartOptions): Chart {
  const { startSamples, stepSamples, values, chosenSamples, width = DEFAULT_WIDTH } = options;
  const to = startSamples + (values.length - 1) * stepSamples;
  const chosen = Math.round((chosenSamples - startSamples) / stepSamples);
  const label = `${numeral(chosenSamples, 2)} samples`;
  return {
    ...headOf(options),
    description: options.description ?? `The chosen peak stands at ${label}.`,
    x: linearAxis({ label: 'Delay (samples)', from: startSamples, to, parts: 10 }),
    y: linearAxis({ label: 'Correlation', ...evenRange([values]) }),
    marks: [
      sampledMark({ start: startSamples, step: stepSamples, values }, width),
      { kind: 'rule', axis: 'x', value: chosenSamples, label },
      { kind: 'points', x: [chosenSamples], y: [values[chosen]], colour: 1 },
    ],
  };
}
