/**
 * Draws charts as one SVG document: a single chart, or rows of charts under a heading.
 *
 * The document tells a screen reader its title and its description; it needs no script, no font and no other file.
 *
 * @module
 */
import { type Chart, DEFAULT_HEIGHT, DEFAULT_WIDTH, drawInside } from './chart.ts';
import { STYLE } from './style.ts';
import { element, escapeText } from './svg.ts';

const HEADING_HEIGHT = 34;

/** A chart as an SVG document. */
export function drawChart(chart: Chart): string {
  return svgDocument(chart.title, chart.description ?? '', widthOf(chart), heightOf(chart), [drawInside(chart, 0, 0)]);
}

/**
 * Several charts as one SVG document.
 *
 * @param heading - stands above them
 * @param rows - charts from left to right, rows from top to bottom
 */
export function drawCharts(heading: string, rows: readonly (readonly Chart[])[]): string {
  const drawn: string[] = [element('text', { class: 'plot-heading', x: 12, y: 24 }, escapeText(heading))];
  let top = HEADING_HEIGHT,
    width = 0;
  for (const row of rows) {
    let left = 0;
    for (const chart of row) {
      drawn.push(drawInside(chart, left, top));
      left += widthOf(chart);
    }
    width = Math.max(width, left);
    top += Math.max(0, ...row.map(heightOf));
  }
  const description = rows.flat().map((chart) => [chart.title, chart.description].filter(Boolean).join(': '));
  return svgDocument(heading, description.join('. '), width, top, drawn);
}

function svgDocument(
  title: string,
  description: string,
  width: number,
  height: number,
  content: readonly string[],
): string {
  const root = {
    xmlns: 'http://www.w3.org/2000/svg',
    class: 'plot',
    role: 'img',
    viewBox: `0 0 ${width} ${height}`,
    width,
    height,
  };
  return `${element(
    'svg',
    root,
    element('title', {}, escapeText(title)),
    description === '' ? '' : element('desc', {}, escapeText(description)),
    element('style', {}, STYLE),
    ...content,
  )}\n`;
}

function widthOf({ width = DEFAULT_WIDTH }: Chart): number {
  return width;
}

function heightOf({ height = DEFAULT_HEIGHT }: Chart): number {
  return height;
}
