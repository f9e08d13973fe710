/**
 * Plots: data in, SVG out. Waveforms, responses, curves and correlations as charts, and the axes and marks to make others.
 *
 * @module
 */
export { type Axis, type AxisOptions, decibelAxis, frequencyAxis, linearAxis } from './axis.ts';
export type { Chart, ChartHead } from './chart.ts';
export { correlationChart, type CorrelationChartOptions } from './correlation-chart.ts';
export { drawChart, drawCharts } from './draw-charts.ts';
export {
  frequencyResponseChart,
  type FrequencyResponseChartOptions,
  type LevelCurve,
  staticCurveChart,
  type StaticCurveChartOptions,
} from './level-charts.ts';
export { mapChart, type MapChartOptions, type MapStep } from './map-chart.ts';
export type { AreaMark, Cell, CellsMark, Dash, DataMark, LineMark, Mark, PointsMark, RuleMark } from './marks.ts';
export type { AxisRange } from './range.ts';
export type { Tick } from './ticks.ts';
export {
  timeChart,
  type TimeChartOptions,
  type TimeRule,
  type TimeTrace,
  waveformChart,
  type WaveformChartOptions,
} from './time-chart.ts';
