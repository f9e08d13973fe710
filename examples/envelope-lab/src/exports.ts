/**
 * What can be taken away: the traces as a table, the pictures as a document.
 *
 *     time_s,input,output,detector_dB,gain_dB        one row per sample; numbers with all the digits they have
 *
 * @module
 */
import {
  type Chart,
  drawCharts,
  frequencyResponseChart,
  linearAxis,
  staticCurveChart,
  timeChart,
  waveformChart,
} from 'batterhead/plots';
import type { Curve } from './curve.ts';
import type { Rendering, Sound } from './render.ts';

/** Part of the time, in samples. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** The traces as comma-separated values. */
export function tracesAsCsv({ input, output, trace }: Rendering, { from, to }: Span): string {
  const number = (c: number) => (input.channels.length > 1 ? `_${c + 1}` : '');
  const columns: (readonly [name: string, values: Float32Array])[] = [
    ...input.channels.map((x, c) => [`input${number(c)}`, x] as const),
    ...output.channels.map((y, c) => [`output${number(c)}`, y] as const),
    ...(trace
      ? ([
          ['detector_dB', trace.levelDb],
          ['gain_dB', trace.gainDb],
        ] as const)
      : []),
  ];
  const rows = [`time_s,${columns.map(([name]) => name).join(',')}`];
  for (let i = from; i < to; i++) {
    rows.push(`${i / input.sampleRateHz},${columns.map(([, values]) => values[i]).join(',')}`);
  }
  return `${rows.join('\n')}\n`;
}

/** What lies below is as good as silence. */
export const FLOOR_DB = -100;

const SIZE = { width: 760, height: 240 } as const;

/** What the pictures show besides the rendering. */
export interface Pictures {
  readonly rendering: Rendering;
  readonly span: Span;
  readonly curve: Curve | undefined;
  readonly spectrum: {
    readonly frequenciesHz: Float64Array;
    readonly before: Float64Array;
    readonly after: Float64Array;
  };
}

/** What an exported document says of itself. */
export interface Caption {
  readonly heading: string;
  /** The settings, for screen readers and for whoever looks into the file. */
  readonly description: string;
}

/** The pictures as SVG. */
export function picturesAsSvg(
  { heading, description }: Caption,
  { rendering, span, curve, spectrum }: Pictures,
): string {
  const { input, output, trace } = rendering;
  const part = (values: Float32Array) => values.subarray(span.from, span.to);
  const time = { ...SIZE, sampleRateHz: input.sampleRateHz, startSeconds: span.from / input.sampleRateHz };
  const wave = (title: string, { channels }: Sound) =>
    waveformChart({ ...time, title, traces: [{ values: part(channels[0]) }] });
  const charts: Chart[] = [{ ...wave('Input', input), description }, wave('Output', output)];
  if (trace) {
    const level = part(trace.levelDb);
    const levelRange = { from: FLOOR_DB, to: 10 * Math.max(0, Math.ceil(level.reduce((a, b) => Math.max(a, b)) / 10)) };
    charts.push(
      timeChart({ ...time, title: 'Detector', label: 'Level (dB)', traces: [{ values: level }], range: levelRange }),
      timeChart({ ...time, title: 'Gain', label: 'Gain (dB)', traces: [{ values: part(trace.gainDb) }] }),
    );
  }
  if (curve) charts.push(curveChart(curve));
  charts.push(
    frequencyResponseChart({
      ...SIZE,
      title: 'Spectrum, in bands of a 24th of an octave',
      frequenciesHz: spectrum.frequenciesHz,
      curves: [
        { name: 'input', levelsDb: spectrum.before },
        { name: 'output', levelsDb: spectrum.after },
      ],
    }),
  );
  return drawCharts(
    heading,
    charts.map((chart) => [chart]),
  );
}

function curveChart({ kind, x, curves }: Curve): Chart {
  const named = curves.map(({ name, y }) => ({ name, levelsDb: y }));
  if (kind === 'static') {
    return staticCurveChart({ width: SIZE.width, height: 420, title: 'Static curve', inputDb: x, curves: named });
  }
  if (kind === 'response') {
    return frequencyResponseChart({ ...SIZE, title: 'Frequency response', frequenciesHz: x, curves: named });
  }
  const reach = Math.max(1, ...curves.flatMap(({ y }) => [...y.map(Math.abs)]));
  return {
    width: SIZE.width,
    height: 420,
    title: 'Transfer curve',
    x: linearAxis({ label: 'Input', from: -1, to: 1 }),
    y: linearAxis({ label: 'Output', from: -reach, to: reach }),
    marks: curves.map(({ name, y }) => ({ kind: 'line', name, x, y })),
  };
}
