/**
 * Pictures of a report: loudness and gains over time, spectra, what is masked.
 * @module
 */
import type { ComparedQuantity } from '../comparison/references.ts';
import { decibelAxis, frequencyAxis, linearAxis } from '../plots/axis.ts';
import { type Chart } from '../plots/chart.ts';
import { drawChart } from '../plots/draw-charts.ts';
import { mapChart } from '../plots/map-chart.ts';
import type { Mark } from '../plots/marks.ts';
import { levelRange } from '../plots/range.ts';
import type { BlockReport } from '../mix/strip-report.ts';
import { Markup, scrolling } from './markup.ts';
import type { MaskedPart } from './masked-part.ts';
import type { MixFileReport } from './mix-file-report.ts';

const WIDTH = 1120;
const HEIGHT = 320;
const SMALL_WIDTH = 520;
const SMALL_HEIGHT = 210;
/** Range of a level chart: what is softer is not looked for. */
const SHOWN_DB = 48;
const SHOWN_LU = 36;

/** A drawing in a page. */
export function picture(svg: string, label: string): Markup {
  return scrolling(label, new Markup(svg));
}

function draw(chart: Chart): Markup {
  return picture(drawChart(chart), chart.title);
}

/** Loudness of the mix and of the unprocessed mix over time. */
export function loudnessPicture({ mix, unprocessed }: MixFileReport): Markup {
  const { columnSeconds, momentaryLufs, shortTermLufs } = mix.loudness;
  const before = unprocessed.loudness;
  const marks = [
    curve('mix, 400 ms', momentaryLufs, columnSeconds, { colour: 5 }),
    curve('mix, 3 s', shortTermLufs, columnSeconds, { colour: 0 }),
    curve('unprocessed, 3 s', before.shortTermLufs, before.columnSeconds, { colour: 1, dash: 'dashed' }),
  ];
  return draw({
    title: 'Loudness over time',
    description: 'Momentary and short-term loudness of the mix, and of the unprocessed mix at the same loudness.',
    width: WIDTH,
    height: HEIGHT,
    x: timeAxis(columnSeconds * momentaryLufs.length),
    y: decibelAxis({
      label: 'Loudness (LUFS)',
      ...levelRange(
        marks.map(({ y }) => y),
        SHOWN_LU,
      ),
    }),
    marks,
  });
}

/** Third octaves of the mix and of the unprocessed mix, relative to the loudness of each. */
export function spectrumPicture({ mix, unprocessed }: MixFileReport): Markup {
  const bands = mix.figures.thirdOctaves.filter(({ frequencyHz }) => frequencyHz > 19 && frequencyHz < 20_500);
  const centres = bands.map(({ frequencyHz }) => frequencyHz);
  const levels = ({ figures }: MixFileReport['mix'] | MixFileReport['unprocessed']) =>
    bands.map(({ frequencyHz }) => {
      const level = figures.thirdOctaves.find((band) => band.frequencyHz === frequencyHz)?.levelDb ?? NaN;
      return level - figures.integratedLufs;
    });
  const marks: Mark[] = [
    { kind: 'line', name: 'mix', x: centres, y: levels(mix), colour: 0 },
    { kind: 'line', name: 'unprocessed', x: centres, y: levels(unprocessed), colour: 1, dash: 'dashed' },
  ];
  return draw({
    title: 'Spectrum in third octaves',
    description: 'Levels of the bands over the whole mix, relative to its loudness.',
    width: WIDTH,
    height: HEIGHT,
    x: frequencyAxis(),
    y: decibelAxis({
      label: 'Level relative to the loudness (dB)',
      ...levelRange([levels(mix), levels(unprocessed)], SHOWN_DB),
    }),
    marks,
  });
}

/** Third octaves of the mix between those of its references. */
export function marginPicture(quantities: readonly ComparedQuantity[]): Markup {
  const bands = quantities.filter(({ kind }) => kind === 'band');
  const x = bands.map(({ name }) => Number(name.slice('band '.length)));
  const low = bands.map(({ least, tolerance }) => least - tolerance),
    high = bands.map(({ greatest, tolerance }) => greatest + tolerance),
    values = bands.map(({ value }) => value);
  const outside = bands.flatMap(({ verdict }, b) => (verdict === 'inside' ? [] : [b]));
  return draw({
    title: 'Spectrum within the margin of the references',
    description:
      'Third octaves of the loud sections at one loudness: the references span the area, points lie outside.',
    width: WIDTH,
    height: HEIGHT,
    x: frequencyAxis(),
    y: decibelAxis({ label: 'Level relative to the loudness (dB)', ...levelRange([low, high, values], SHOWN_DB) }),
    marks: [
      { kind: 'area', name: 'margin of the references', x, low, high, colour: 5 },
      { kind: 'line', name: 'mix', x, y: values, colour: 0 },
      {
        kind: 'points',
        name: 'outside',
        x: outside.map((b) => x[b]),
        y: outside.map((b) => values[b]),
        colour: 1,
      },
    ],
  });
}

/** Gain of a dynamics block over time. */
export function gainPicture(title: string, gain: NonNullable<BlockReport['gain']>, seconds: number): Markup {
  const { lowestDb, highestDb } = gain.columns;
  const x = lowestDb.map((_, c) => ((c + 0.5) * seconds) / lowestDb.length);
  const { from, to } = levelRange([lowestDb, highestDb, [0, -1]], 60);
  return draw({
    title,
    description: 'Lowest and highest gain of each column, relative to the block at rest.',
    width: SMALL_WIDTH,
    height: SMALL_HEIGHT,
    x: timeAxis(seconds),
    y: decibelAxis({ label: 'Gain (dB)', from, to, parts: 5 }),
    marks: [{ kind: 'area', x, low: lowestDb, high: highestDb, colour: 0 }],
  });
}

/** What is masked of a part, over time and frequency. */
export function maskingPicture({ name, bands, map }: MaskedPart): Markup | undefined {
  if (!map) return undefined;
  return draw(
    mapChart({
      title: `${name}: level above what the song covers`,
      description: 'Margin of each band to the masked threshold beside the rest of the song, where the part sounds.',
      width: WIDTH,
      height: HEIGHT + 60,
      columnSeconds: map.columnSeconds,
      bands,
      values: map.marginDb,
      steps: [
        { name: 'covered by more than 6 dB', colour: 1, from: -Infinity },
        { name: 'covered', colour: 4, from: -6 },
        { name: 'up to 6 dB above', colour: 5, from: 0 },
        { name: 'clear', colour: 0, from: 6 },
      ],
    }),
  );
}

function timeAxis(seconds: number) {
  return linearAxis({ label: 'Time (s)', from: 0, to: Math.max(seconds, 1e-3), parts: 10 });
}

/** A column's value stands at its end: windows of loudness lie before it. What has none is a gap. */
function curve(
  name: string,
  values: readonly (number | null)[],
  columnSeconds: number,
  look: { readonly colour: number; readonly dash?: 'dashed' | 'dotted' },
) {
  return {
    kind: 'line' as const,
    name,
    x: values.map((_, c) => (c + 1) * columnSeconds),
    y: values.map((value) => value ?? NaN),
    ...look,
  };
}
