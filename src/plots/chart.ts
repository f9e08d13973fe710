/**
 * Chart: a frame with two axes, a title, marks and a legend.
 *
 *     Title                        -- one   -- two
 *     y label
 *      +--------------------------------------+
 *      |                                      |
 *      +--------------------------------------+
 *                      x label
 *
 * @module
 */
import type { Axis } from './axis.ts';
import { classesOf, coloursOf, drawMark, type Frame, type Mark } from './marks.ts';
import { element, escapeText } from './svg.ts';

/** What every chart has, whatever it shows. */
export interface ChartHead {
  /** Heading, which is also the picture's accessible name. */
  readonly title: string;
  /** What there is to see, in words, for those who do not see it. */
  readonly description?: string | undefined;
  /** Pixels, 640 unless given. */
  readonly width?: number | undefined;
  /** Pixels, 320 unless given. */
  readonly height?: number | undefined;
}

/** A chart as data. */
export interface Chart extends ChartHead {
  /** Horizontal axis. */
  readonly x: Axis;
  /** Vertical axis. */
  readonly y: Axis;
  /** What is drawn, first at the back. */
  readonly marks: readonly Mark[];
}

/** Size of a chart that gives none. */
export const DEFAULT_WIDTH = 640;
export const DEFAULT_HEIGHT = 320;

/** Space around the frame. */
const TOP = 50;
const BOTTOM = 44;
const RIGHT = 18;
const LEFT = 22; // besides the numbers

/** Widths of text, which cannot be measured here: of a usual sans serif at 11 and at 13 pixels. */
const EM = 6.4;
const TITLE_EM = 7.6;
const LEGEND_LINE = 16;

/** The head alone of what may hold more. */
export function headOf({ title, description, width, height }: ChartHead): ChartHead {
  return { title, description, width, height };
}

/** Draws a chart with its upper left corner at `left`, `top`. */
export function drawInside(chart: Chart, left: number, top: number): string {
  const { title, width = DEFAULT_WIDTH, height = DEFAULT_HEIGHT, x, y, marks } = chart;
  const numbers = EM * Math.max(...y.ticks.map(({ text }) => text.length), 1);
  const legend = layOutLegend(marks, width - RIGHT, 12 + TITLE_EM * title.length);
  const frameLeft = LEFT + numbers,
    frameTop = TOP + LEGEND_LINE * Math.max(0, legend.lines - 1);
  const frame: Frame = { x, y, width: width - frameLeft - RIGHT, height: height - frameTop - BOTTOM };
  const colours = coloursOf(marks);
  return element(
    'g',
    { transform: `translate(${left},${top})` },
    element('text', { class: 'plot-title', x: 12, y: 22 }, escapeText(title)),
    legend.svg,
    element('text', { x: 12, y: frameTop - 8 }, escapeText(y.label)),
    element(
      'g',
      { transform: `translate(${Math.round(frameLeft)},${frameTop})` },
      grid(frame),
      // A nested picture shows nothing outside of itself.
      element(
        'svg',
        { width: frame.width, height: frame.height },
        ...marks.map((mark, m) => drawMark(mark, frame, colours[m])),
      ),
      element('rect', { class: 'plot-frame', width: frame.width, height: frame.height }),
      numerals(frame),
      element('text', { x: frame.width / 2, y: frame.height + 36, 'text-anchor': 'middle' }, escapeText(x.label)),
    ),
  );
}

/** Lines at the ticks; those at zero stand out. */
function grid({ x, y, width, height }: Frame): string {
  const style = (value: number) => ({ class: value === 0 ? 'plot-grid plot-zero' : 'plot-grid' });
  return [
    ...x.ticks.map(({ value }) => {
      const at = x.position(value) * width;
      return element('line', { ...style(value), x1: at, x2: at, y1: 0, y2: height });
    }),
    ...y.ticks.map(({ value }) => {
      const at = (1 - y.position(value)) * height;
      return element('line', { ...style(value), x1: 0, x2: width, y1: at, y2: at });
    }),
  ].join('');
}

function numerals({ x, y, width, height }: Frame): string {
  const numeral = (text: string, at: Readonly<Record<string, string | number>>) =>
    text === '' ? '' : element('text', { class: 'plot-tick', ...at }, escapeText(text));
  return [
    ...x.ticks.map(({ value, text }) =>
      numeral(text, { x: x.position(value) * width, y: height + 16, 'text-anchor': 'middle' }),
    ),
    ...y.ticks.map(({ value, text }) =>
      numeral(text, { x: -7, y: (1 - y.position(value)) * height + 4, 'text-anchor': 'end' }),
    ),
  ].join('');
}

/** The named marks, from the right end of the title's line; below it where they do not fit beside the title. */
function layOutLegend(marks: readonly Mark[], right: number, titleEnd: number): { svg: string; lines: number } {
  const colours = coloursOf(marks);
  const items = marks.flatMap((mark, m) =>
    mark.kind === 'rule' || mark.name === undefined
      ? []
      : [{ mark, colour: colours[m], name: mark.name, width: 40 + EM * mark.name.length }],
  );
  const lines: (typeof items)[] = [[]];
  let used = titleEnd;
  for (const item of items) {
    if (used + item.width > right) {
      lines.push([]);
      used = 12;
    }
    lines.at(-1)?.push(item);
    used += item.width;
  }
  const svg = lines.map((line, l) => {
    let at = right - line.reduce((sum, { width }) => sum + width, 0);
    return line.map(({ mark, colour, name, width }) => {
      const x = at,
        y = 22 + LEGEND_LINE * l;
      at += width;
      const text = element('text', { x: x + 30, y }, escapeText(name));
      return swatch(mark, colour, x, y - 4) + text;
    });
  });
  return { svg: svg.flat().join(''), lines: lines.length };
}

function swatch(mark: Mark, colour: number, x: number, y: number): string {
  const style = { class: classesOf(mark, colour) };
  if (mark.kind === 'points') return element('circle', { ...style, cx: x + 14, cy: y, r: 2.5 });
  if (mark.kind === 'area' || mark.kind === 'cells')
    return element('rect', { ...style, x: x + 4, y: y - 4, width: 20, height: 8 });
  return element('line', { ...style, x1: x + 2, x2: x + 25, y1: y, y2: y });
}
