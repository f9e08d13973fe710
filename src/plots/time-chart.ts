/**
 * Values over time: a step response, a gain, an envelope, a waveform.
 *
 * Short signals are curves, long ones the area between the lowest and the highest value of each pixel.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { type Axis, linearAxis } from './axis.ts';
import { type Chart, type ChartHead, DEFAULT_WIDTH, headOf } from './chart.ts';
import type { Dash, Mark, RuleMark } from './marks.ts';
import { evenRange, type AxisRange, roundRange } from './range.ts';
import { sampledMark } from './sampled-mark.ts';

/** A signal of a chart. */
export interface TimeTrace {
  /** Stands in the legend. */
  readonly name?: string | undefined;
  /** One value per sample. */
  readonly values: ArrayLike<number>;
  /** 0 to 5. */
  readonly colour?: number | undefined;
  /** How the line is drawn; solid by default. */
  readonly dash?: Dash | undefined;
}

/** A time that is marked. */
export interface TimeRule {
  /** When, on the axis of the chart. */
  readonly seconds: number;
  /** Text beside the line. */
  readonly label?: string | undefined;
}

/** What a chart over time shows. */
export interface TimeChartOptions extends ChartHead {
  /** Of all traces. */
  readonly sampleRateHz: number;
  /** What is drawn over time. */
  readonly traces: readonly TimeTrace[];
  /** What the values are, with their unit: `Gain (dB)`. */
  readonly label: string;
  /** Time of the first value; 0 unless given. */
  readonly startSeconds?: number | undefined;
  /** Ends of the axis of values; they fit the traces unless given. */
  readonly range?: AxisRange | undefined;
  /** Times that are marked, in seconds. */
  readonly rules?: readonly TimeRule[] | undefined;
}

/** Below this a chart counts in milliseconds. */
const SHORT_SECONDS = 2;

/** A chart of values over time. @throws RangeError for a sample rate that is not above 0 */
export function timeChart(options: TimeChartOptions): Chart {
  const { sampleRateHz, traces, label, startSeconds = 0, width } = options;
  requireRange('timeChart: sampleRateHz', sampleRateHz, 1e-3, 1e9);
  const { from, to } = options.range ?? roundRange(traces.map(({ values }) => values));
  const seconds = Math.max(1, ...traces.map(({ values }) => values.length - 1)) / sampleRateHz;
  const scale = seconds < SHORT_SECONDS ? 1000 : 1;
  const rules = (options.rules ?? []).map((rule): RuleMark => ({
    kind: 'rule',
    axis: 'x',
    value: rule.seconds * scale,
    ...(rule.label !== undefined && { label: rule.label }),
  }));
  return {
    ...headOf(options),
    x: timeAxis(startSeconds, seconds, scale),
    y: linearAxis({ label, from, to }),
    marks: [...traces.map((trace) => traceMark(trace, startSeconds, sampleRateHz, scale, width)), ...rules],
  };
}

/** What a waveform's chart shows: that of any values, but for its label. */
export type WaveformChartOptions = Omit<TimeChartOptions, 'label'>;

/** A chart of waveforms, with zero in the middle. @throws RangeError for a sample rate that is not above 0 */
export function waveformChart(options: WaveformChartOptions): Chart {
  const { range = evenRange(options.traces.map(({ values }) => values)) } = options;
  return timeChart({ ...options, label: 'Amplitude', range });
}

function timeAxis(startSeconds: number, seconds: number, scale: number): Axis {
  const from = startSeconds * scale;
  return linearAxis({ label: scale === 1 ? 'Time (s)' : 'Time (ms)', from, to: from + seconds * scale, parts: 10 });
}

function traceMark(
  { name, values, colour, dash }: TimeTrace,
  startSeconds: number,
  sampleRateHz: number,
  scale: number,
  width = DEFAULT_WIDTH,
): Mark {
  const mark = sampledMark({ start: startSeconds * scale, step: scale / sampleRateHz, values }, width);
  return mark.kind === 'line' ? { ...mark, name, colour, dash } : { ...mark, name, colour };
}
