/**
 * Marks: what is drawn inside the frame of a chart.
 *
 *     line     a curve through points, broken where a value is not finite
 *     area     between a lower and an upper curve
 *     points   a dot for each value
 *     cells    rectangles
 *     rule     a straight line across the frame at one value, with a label
 *
 * Marks with a name stand in the legend. Colours go round by the order of the marks that have no colour of their own.
 *
 * @module
 */
import type { Axis } from './axis.ts';
import { type Attributes, coordinate, element, escapeText } from './svg.ts';

/** What marks that show data have in common. */
export interface DataMark {
  /** Stands in the legend. */
  readonly name?: string | undefined;
  /** 0 to 5; the next that is free unless given. */
  readonly colour?: number | undefined;
  /** Horizontal positions, one per value. */
  readonly x: ArrayLike<number>;
}

/** A curve. */
export interface LineMark extends DataMark {
  /** What is drawn. */
  readonly kind: 'line';
  /** Vertical positions, one per value. */
  readonly y: ArrayLike<number>;
  /** Solid unless given. */
  readonly dash?: Dash | undefined;
}

/** What lies between two curves. */
export interface AreaMark extends DataMark {
  /** What is drawn. */
  readonly kind: 'area';
  /** Lower edge of the area, one per value. */
  readonly low: ArrayLike<number>;
  /** Upper edge of the area, one per value. */
  readonly high: ArrayLike<number>;
}

/** Dots. */
export interface PointsMark extends DataMark {
  /** What is drawn. */
  readonly kind: 'points';
  /** Vertical positions, one per value. */
  readonly y: ArrayLike<number>;
}

/** A rectangle between values of both axes. */
export interface Cell {
  /** Left edge. */
  readonly fromX: number;
  /** Right edge. */
  readonly toX: number;
  /** Lower edge. */
  readonly fromY: number;
  /** Upper edge. */
  readonly toY: number;
}

/** Rectangles of one colour. */
export interface CellsMark extends Omit<DataMark, 'x'> {
  /** What is drawn. */
  readonly kind: 'cells';
  /** The rectangles. */
  readonly cells: readonly Cell[];
}

/** A line across the frame at a value of one axis. */
export interface RuleMark {
  /** What is drawn. */
  readonly kind: 'rule';
  /** The axis on which the value lies. */
  readonly axis: 'x' | 'y';
  /** Where the line crosses that axis. */
  readonly value: number;
  /** Text beside the line. */
  readonly label?: string | undefined;
}

/** Anything that is drawn in a chart. */
export type Mark = LineMark | AreaMark | PointsMark | CellsMark | RuleMark;
/** How a line is drawn. */
export type Dash = 'solid' | 'dashed' | 'dotted';

/** Number of colours. */
export const COLOURS = 6;

/** The inside of a chart: `width` x `height` pixels, its own origin at the upper left. */
export interface Frame {
  /** Horizontal axis. */
  readonly x: Axis;
  /** Vertical axis. */
  readonly y: Axis;
  readonly width: number;
  readonly height: number;
}

/** Colour of each mark of a chart: its own, or the next of the round. Rules have none. */
export function coloursOf(marks: readonly Mark[]): readonly number[] {
  let next = 0;
  return marks.map((mark) => (mark.kind === 'rule' ? -1 : (mark.colour ?? next++ % COLOURS)));
}

/** Classes of a mark's shape: what colour and dash it has. */
export function classesOf(mark: Mark, colour: number): string {
  const dash = mark.kind === 'line' && mark.dash !== undefined && mark.dash !== 'solid' ? ` plot-${mark.dash}` : '';
  return `plot-${mark.kind}${colour < 0 ? '' : ` plot-c${colour}`}${dash}`;
}

/** Draws a mark inside its frame. */
export function drawMark(mark: Mark, frame: Frame, colour: number): string {
  const style = { class: classesOf(mark, colour) };
  if (mark.kind === 'rule') return drawRule(mark, frame, style);
  if (mark.kind === 'area') return drawArea(mark, frame, style);
  if (mark.kind === 'cells') return drawCells(mark, frame, style);
  const places = pointsOf(mark.x, mark.y, frame);
  if (mark.kind === 'points') {
    return places
      .map((place) => (place ? element('circle', { ...style, cx: place[0], cy: place[1], r: 2.5 }) : ''))
      .join('');
  }
  return runsOf(places)
    .map((run) => element('polyline', { ...style, points: run.map(pair).join(' ') }))
    .join('');
}

type Place = readonly [x: number, y: number];

/** Pixels of the points; undefined where one is not finite. Far outside they stay within reach of a renderer. */
function pointsOf(x: ArrayLike<number>, y: ArrayLike<number>, frame: Frame): (Place | undefined)[] {
  return Array.from({ length: Math.min(x.length, y.length) }, (_, i): Place | undefined => {
    const across = frame.x.position(x[i]),
      up = frame.y.position(y[i]);
    if (!Number.isFinite(across) || !Number.isFinite(up)) return undefined;
    return [frame.width * near(across), frame.height * (1 - near(up))];
  });
}

/** A position that is at most ten frames away. */
function near(position: number): number {
  return Math.max(-10, Math.min(10, position));
}

/** Stretches of points that all exist. */
function runsOf(places: readonly (Place | undefined)[]): Place[][] {
  const runs: Place[][] = [];
  let run: Place[] = [];
  for (const place of [...places, undefined]) {
    if (place) run.push(place);
    else if (run.length > 0) {
      runs.push(run);
      run = [];
    }
  }
  return runs;
}

function pair([x, y]: Place): string {
  return `${coordinate(x)},${coordinate(y)}`;
}

function drawArea({ x, low, high }: AreaMark, frame: Frame, style: Attributes): string {
  const both = (y: ArrayLike<number>) => pointsOf(x, y, frame);
  const lows = both(low);
  // A point counts where both its ends exist.
  const places = both(high).map((top, i) => (top && lows[i] ? ([top, lows[i]] as const) : undefined));
  const runs: (readonly [Place, Place])[][] = [[]];
  for (const place of places) {
    if (place) runs.at(-1)?.push(place);
    else runs.push([]);
  }
  return runs
    .filter((run) => run.length > 0)
    .map((run) => [...run.map(([top]) => top), ...run.map(([, bottom]) => bottom).reverse()])
    .map((outline) => element('polygon', { ...style, points: outline.map(pair).join(' ') }))
    .join('');
}

/** All in one path: a map has thousands of cells. */
function drawCells({ cells }: CellsMark, frame: Frame, style: Attributes): string {
  const across = (value: number) => coordinate(frame.width * frame.x.position(value)),
    down = (value: number) => coordinate(frame.height * (1 - frame.y.position(value)));
  const outlines = cells.map(
    ({ fromX, toX, fromY, toY }) => `M${across(fromX)},${down(toY)}H${across(toX)}V${down(fromY)}H${across(fromX)}Z`,
  );
  return cells.length === 0 ? '' : element('path', { ...style, d: outlines.join('') });
}

/** The label stands on the side of the rule where there is more room. */
function drawRule({ axis, value, label }: RuleMark, frame: Frame, style: Attributes): string {
  const { width, height } = frame;
  const part = axis === 'x' ? frame.x.position(value) : 1 - frame.y.position(value);
  if (!(part >= 0 && part <= 1)) return '';
  const at = part * (axis === 'x' ? width : height);
  const ends = axis === 'x' ? { x1: at, x2: at, y1: 0, y2: height } : { x1: 0, x2: width, y1: at, y2: at };
  const line = element('line', { ...style, ...ends });
  if (label === undefined) return line;
  const place =
    axis === 'x'
      ? { x: at + (part > 0.6 ? -5 : 5), y: 13, 'text-anchor': part > 0.6 ? 'end' : 'start' }
      : { x: width - 5, y: part < 0.15 ? at + 13 : at - 5, 'text-anchor': 'end' };
  return line + element('text', { class: 'plot-note', ...place }, escapeText(label));
}
