/**
 * One picture: a canvas chart with a caption, a name for screen readers, a line or a point that moves, and a part of the
 * time to be chosen by dragging.
 *
 * @module
 */
import uPlot from 'uplot';
import { make } from './dom.ts';

/** A curve of a picture. */
export interface SeriesLook {
  readonly name: string;
  /** Custom property of the style sheet. */
  readonly colour: string;
  readonly dash?: number[];
  readonly width?: number;
}

/** What a picture is. */
export interface ChartLook {
  readonly title: string;
  readonly xLabel: string;
  readonly yLabel: string;
  readonly series: readonly SeriesLook[];
  readonly height?: number;
  /** Ends of the vertical axis; they follow the data unless given. */
  readonly yRange?: () => [number, number];
  readonly logarithmic?: boolean;
  /** Whether it takes the whole width. */
  readonly wide?: boolean;
  /** Part of the horizontal axis that was chosen. */
  readonly onSelect?: (from: number, to: number) => void;
}

/** Values of the horizontal axis, then those of each curve. */
export type ChartData = readonly Float64Array[];

const HEIGHT = 180;

/** Frequencies that are named; a logarithmic axis is a linear one of their logarithms. */
const NAMED_HZ = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000];

/** A picture on the page. */
export class Picture {
  readonly element: HTMLElement;
  readonly #plot: uPlot;
  readonly #image: HTMLElement;
  readonly #mark = make('div', { class: 'mark', hidden: true });
  readonly #observer: ResizeObserver;
  readonly #logarithmic: boolean;

  constructor(look: ChartLook) {
    const { title, series, height = HEIGHT, wide = false, logarithmic = false } = look;
    this.#logarithmic = logarithmic;
    const named = series.filter(({ name }) => name !== title.toLowerCase());
    const legend = named.map(({ name, colour, dash }) =>
      make('span', { class: 'key', style: `--key:var(${colour});--line:${dash ? 'dashed' : 'solid'}` }, name),
    );
    this.#image = make('div', { role: 'img', class: 'chart' });
    this.element = make(
      'figure',
      { class: wide && 'wide' },
      make('figcaption', {}, make('b', {}, title), ...legend),
      this.#image,
    );
    this.#plot = new uPlot(optionsOf(look), undefined, this.#image);
    this.#plot.over.append(this.#mark);
    this.#observer = new ResizeObserver(() => {
      const width = this.#image.clientWidth;
      if (width > 0 && width !== this.#plot.width) this.#plot.setSize({ width, height });
    });
    this.#observer.observe(this.#image);
  }

  /** Shows data; `description` says in words what there is to see. */
  show(data: ChartData, description: string): void {
    const [x, ...curves] = data;
    this.#plot.setData([this.#logarithmic ? x.map(Math.log10) : x, ...curves] as uPlot.AlignedData);
    this.#image.setAttribute('aria-label', description);
  }

  /** Moves the line to a place of the horizontal axis, or the point to a place of both; outside, it is not seen. */
  point(x: number, y?: number): void {
    const { width, height } = this.#plot.over.getBoundingClientRect();
    const left = this.#plot.valToPos(x, 'x'),
      top = y === undefined ? 0 : this.#plot.valToPos(y, 'y');
    this.#mark.className = y === undefined ? 'mark line' : 'mark dot';
    this.#mark.hidden = !(left >= 0 && left <= width && top >= 0 && top <= height);
    this.#mark.style.transform = `translate(${left}px, ${top}px)`;
  }

  /** Takes the colours of the page anew. */
  redraw(): void {
    this.#plot.redraw(false);
  }

  remove(): void {
    this.#observer.disconnect();
    this.#plot.destroy();
    this.element.remove();
  }
}

/** A custom property of the page, as it is in this light. */
function colour(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

function optionsOf(look: ChartLook): uPlot.Options {
  const { xLabel, yLabel, series, height = HEIGHT, yRange, logarithmic = false, onSelect } = look;
  const axis = (label: string, size: number): uPlot.Axis => ({
    label,
    labelSize: 16,
    labelFont: '12px system-ui, sans-serif',
    font: '11px system-ui, sans-serif',
    size,
    gap: 3,
    stroke: () => colour('--ink'),
    grid: { stroke: () => colour('--grid'), width: 1 },
    ticks: { stroke: () => colour('--grid'), width: 1, size: 4 },
  });
  return {
    width: 320,
    height,
    legend: { show: false },
    cursor: {
      show: onSelect !== undefined,
      y: false,
      points: { show: false },
      drag: { x: true, y: false, setScale: false },
    },
    scales: {
      x: { time: false, range: (_, from, to) => [from, to] },
      y: yRange ? { range: yRange } : { range: (_, low, high) => roomFor(low, high) },
    },
    axes: [
      {
        ...axis(xLabel, 26),
        ...(logarithmic && {
          splits: (plot: uPlot) => {
            const { min = 0, max = 0 } = plot.scales.x;
            return NAMED_HZ.map(Math.log10).filter((x) => x >= (min ?? 0) && x <= (max ?? 0));
          },
          values: (_: uPlot, splits: number[]) => splits.map((x) => shortHz(Math.round(10 ** x))),
        }),
      },
      { ...axis(yLabel, 44), space: 20 },
    ],
    series: [
      {},
      ...series.map(({ name, colour: property, dash, width = 1.25 }): uPlot.Series => ({
        label: name,
        stroke: () => colour(property),
        width,
        points: { show: false },
        ...(dash && { dash }),
      })),
    ],
    hooks: {
      setSelect: [
        (plot) => {
          const { left, width } = plot.select;
          if (width < 4) return;
          onSelect?.(plot.posToVal(left, 'x'), plot.posToVal(left + width, 'x'));
          plot.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
        },
      ],
    },
  };
}

/** Some room above and below, and never none. */
function roomFor(low: number | null, high: number | null): [number, number] {
  const from = low ?? 0,
    to = high ?? 1;
  const room = Math.max(0.05 * (to - from), 0.5);
  return [from - room, to + room];
}

function shortHz(hz: number): string {
  return hz >= 1000 ? `${hz / 1000}k` : String(hz);
}
