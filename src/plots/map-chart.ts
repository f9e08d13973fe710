/**
 * Map: a quantity over time and frequency, in steps, each of which has a colour and stands in the legend.
 *
 *     frequency
 *       ^   +--+--+--+
 *       |   |a |a |b |      a cell where the quantity has no value stays empty
 *       |   +--+--+--+
 *       |   |  |b |b |
 *       +------------------> time
 *
 * @module
 */
import type { FrequencyBand } from '../core/third-octaves.ts';
import { frequencyAxis, linearAxis } from './axis.ts';
import { type Chart, type ChartHead, headOf } from './chart.ts';
import type { Cell, CellsMark } from './marks.ts';

/** A step of the quantity. */
export interface MapStep {
  /** Stands in the legend. */
  readonly name: string;
  /** 0 to 5. */
  readonly colour: number;
  /** Values of the step: from here on, up to the beginning of the next. */
  readonly from: number;
}

/** What a map shows. */
export interface MapChartOptions extends ChartHead {
  /** Length of a column. */
  readonly columnSeconds: number;
  /** From low to high, each ending where the next begins. */
  readonly bands: readonly FrequencyBand[];
  /** `values[band][column]`; null or below the first step leaves the cell empty. */
  readonly values: readonly (readonly (number | null)[])[];
  /** Rising. */
  readonly steps: readonly MapStep[];
}

/** A map of values over time and frequency. @throws RangeError without a band or a column */
export function mapChart(options: MapChartOptions): Chart {
  const { columnSeconds, bands, values, steps } = options;
  const columns = values.at(0)?.length ?? 0;
  const cells = steps.map((): Cell[] => []);
  bands.forEach(({ fromHz, toHz }, b) => {
    // Neighbours of one step become one cell.
    const stepped = values[b].map((value) => (value === null ? -1 : steps.findLastIndex(({ from }) => value >= from)));
    for (let c = 0; c < columns;) {
      const first = c,
        step = stepped[c];
      while (c < columns && stepped[c] === step) c++;
      if (step < 0) continue;
      cells[step].push({ fromX: first * columnSeconds, toX: c * columnSeconds, fromY: fromHz, toY: toHz });
    }
  });
  return {
    ...headOf(options),
    x: linearAxis({ label: 'Time (s)', from: 0, to: columns * columnSeconds, parts: 10 }),
    y: frequencyAxis({ from: bands.at(0)?.fromHz ?? NaN, to: bands.at(-1)?.toHz ?? NaN }),
    marks: steps.map(({ name, colour }, s): CellsMark => ({ kind: 'cells', name, colour, cells: cells[s] })),
  };
}
