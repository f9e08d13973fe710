/**
 * Charts of levels: over frequency, and over another level.
 * @module
 */
import { decibelAxis, frequencyAxis } from './axis.ts';
import { type Chart, type ChartHead, headOf } from './chart.ts';
import type { Dash, LineMark } from './marks.ts';
import { extremes, levelRange, type AxisRange } from './range.ts';

/** A curve of levels. */
export interface LevelCurve {
  /** Stands in the legend. */
  readonly name?: string | undefined;
  /** One for each place of the chart; -Infinity leaves a gap. */
  readonly levelsDb: ArrayLike<number>;
}

/** What a frequency response's chart shows. */
export interface FrequencyResponseChartOptions extends ChartHead {
  /** Rising, above 0. */
  readonly frequenciesHz: ArrayLike<number>;
  /** One or more curves. */
  readonly curves: readonly LevelCurve[];
  /** Ends of the level axis; they fit the curves unless given, but show at most 72 dB. */
  readonly range?: AxisRange | undefined;
}

/** What a static curve's chart shows. */
export interface StaticCurveChartOptions extends ChartHead {
  /** Levels that come in, rising. */
  readonly inputDb: ArrayLike<number>;
  /** Levels that come out. */
  readonly curves: readonly LevelCurve[];
}

const MOST_DB = 72;
const DASHES: readonly Dash[] = ['solid', 'dashed', 'dotted'];

/** Level over frequency, from the first to the last frequency given. @throws RangeError if there are not two or more */
export function frequencyResponseChart(options: FrequencyResponseChartOptions): Chart {
  const {
    frequenciesHz,
    curves,
    range = levelRange(
      curves.map(({ levelsDb }) => levelsDb),
      MOST_DB,
    ),
  } = options;
  const { from, to } = extremes([frequenciesHz]) ?? { from: NaN, to: NaN };
  return {
    ...headOf(options),
    x: frequencyAxis({ from, to }),
    y: decibelAxis({ label: 'Level (dB)', ...range }),
    marks: curves.map((curve, c) => lineOf(curve, frequenciesHz, c)),
  };
}

/** Level that comes out over level that goes in, and the dotted line of a block that does nothing. */
export function staticCurveChart(options: StaticCurveChartOptions): Chart {
  const { inputDb, curves } = options;
  const input = levelRange([inputDb], Infinity);
  const unity: LineMark = { kind: 'line', name: 'unchanged', x: inputDb, y: inputDb, dash: 'dotted', colour: 5 };
  return {
    ...headOf(options),
    x: decibelAxis({ label: 'Input (dB)', ...input }),
    y: decibelAxis({
      label: 'Output (dB)',
      ...levelRange([inputDb, ...curves.map(({ levelsDb }) => levelsDb)], MOST_DB),
    }),
    marks: [unity, ...curves.map((curve, c) => lineOf(curve, inputDb, c))],
  };
}

function lineOf({ name, levelsDb }: LevelCurve, x: ArrayLike<number>, c: number): LineMark {
  return { kind: 'line', name, x, y: levelsDb, dash: DASHES[c % DASHES.length] };
}
