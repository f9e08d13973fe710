/**
 * The pictures of a rendering: waveforms, detector level and gain over time, the block's curve with the moving point, and
 * the spectra.
 *
 * @module
 */
import { type ChartData, type ChartLook, Picture, type SeriesLook } from './chart.ts';
import { columnsOf } from './columns.ts';
import type { Curve } from './curve.ts';
import { make } from './dom.ts';
import { FLOOR_DB, type Span } from './exports.ts';
import { figure } from './words.ts';
import type { Shown } from './workshop.ts';

const COLUMNS = 600;

const input = { name: 'input', colour: '--input' };
const output = { name: 'output', colour: '--output' };

const curveLooks: Readonly<Record<Curve['kind'], Omit<ChartLook, 'series'>>> = {
  static: { title: 'Static curve', xLabel: 'Input (dB)', yLabel: 'Output (dB)', yRange: () => [-90, 6], height: 300 },
  transfer: { title: 'Transfer curve', xLabel: 'Input', yLabel: 'Output', height: 300 },
  response: {
    title: 'Frequency response',
    xLabel: 'Frequency (Hz)',
    yLabel: 'Gain (dB)',
    logarithmic: true,
    height: 300,
  },
};

const NO_CURVE = 'This block has no static curve: its gain follows the shape of a hit, whatever its level.';

const dashes = [{}, { dash: [7, 4] }];

/** All pictures, in their place on the page. */
export class Pictures {
  readonly #place: HTMLElement;
  readonly #equations: HTMLElement; // stand beside the curve of the block
  readonly #onSelect: (from: number, to: number) => void;
  #pictures: Picture[] = [];
  #timed: Picture[] = [];
  #curve: Picture | undefined;
  #kind = '';
  #reach = 1; // of both waveforms, so that they can be compared
  #shown: Shown | undefined;

  constructor(place: HTMLElement, equations: HTMLElement, onSelect: (from: number, to: number) => void) {
    this.#place = place;
    this.#equations = equations;
    this.#onSelect = onSelect;
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => {
      for (const picture of this.#pictures) picture.redraw();
    });
  }

  /** Shows a part of a rendering. */
  show(shown: Shown, span: Span): void {
    this.#shown = shown;
    const { curve, trace, peaksDb, loudnessLufs } = shown;
    const kind = [trace === undefined, curve?.kind, ...(curve?.curves ?? []).map(({ name }) => name)].join(' ');
    if (kind !== this.#kind) this.#build(shown);
    this.#kind = kind;

    this.#reach = 1.05 * 10 ** (Math.max(-60, ...peaksDb) / 20);
    const rate = shown.input.sampleRateHz;
    const over = (...signals: Float32Array[]): ChartData => {
      const columns = signals.map((signal) => columnsOf(signal, span, COLUMNS, rate));
      return [columns[0].seconds, ...columns.map(({ values }) => values)];
    };
    const [before, after, level, gain] = this.#timed;
    before.show(over(shown.input.channels[0]), `Input over time. Its peak is at ${figure(peaksDb[0])} dBFS.`);
    after.show(over(shown.output.channels[0]), `Output over time. Its peak is at ${figure(peaksDb[1])} dBFS.`);
    if (trace) {
      const data = over(trace.levelDb);
      level.show([data[0], data[1].map((x) => Math.max(FLOOR_DB, x))], levelWords(trace.levelDb));
      gain.show(over(trace.gainDb), gainWords(trace.gainDb));
    }
    if (curve) this.#curve?.show(curveData(curve), curveWords(curve));
    this.#pictures
      .at(-1)
      ?.show(
        [shown.frequenciesHz, shown.before, shown.after],
        `Spectra of input and output. Loudness of the input ${figure(loudnessLufs[0])} LUFS, of the output ${figure(loudnessLufs[1])} LUFS.`,
      );
  }

  /** Moves lines and point to a sample. */
  point(sample: number): void {
    const shown = this.#shown;
    if (!shown) return;
    const { trace, curve } = shown;
    for (const picture of this.#timed) picture.point(sample / shown.input.sampleRateHz);
    if (curve?.kind === 'static' && trace) {
      this.#curve?.point(trace.levelDb[sample], trace.levelDb[sample] + trace.gainDb[sample]);
    }
    if (curve?.kind === 'transfer') {
      const late = Math.max(0, sample - shown.latencySamples);
      this.#curve?.point(shown.input.channels[0][late], shown.output.channels[0][sample]);
    }
  }

  #build({ trace, curve }: Shown): void {
    for (const picture of this.#pictures) picture.remove();
    const timed = (title: string, yLabel: string, series: ChartLook['series'], more: Partial<ChartLook> = {}) =>
      new Picture({ title, xLabel: 'Time (s)', yLabel, series, onSelect: this.#onSelect, wide: true, ...more });
    const wave = (title: string, look: SeriesLook) =>
      timed(title, 'Amplitude', [look], { height: 150, yRange: () => [-this.#reach, this.#reach] });
    this.#timed = [wave('Input', input), wave('Output', output)];
    if (trace) {
      this.#timed.push(
        timed('Detector', 'Level (dB)', [{ name: 'level that the block sees', colour: '--level' }]),
        timed('Gain', 'Gain (dB)', [{ name: 'gain that it applies', colour: '--gain' }]),
      );
    }
    this.#curve = curve && new Picture({ ...curveLooks[curve.kind], series: curveSeries(curve) });
    const spectrum = new Picture({
      title: 'Spectrum',
      xLabel: 'Frequency (Hz)',
      yLabel: 'Level (dB)',
      series: [input, output],
      logarithmic: true,
      yRange: () => [-120, 0],
      height: 240,
      wide: true,
    });
    this.#pictures = [...this.#timed, ...(this.#curve ? [this.#curve] : []), spectrum];
    this.#place.replaceChildren(
      ...this.#timed.map(({ element }) => element),
      this.#curve?.element ?? make('p', { class: 'hint' }, NO_CURVE),
      this.#equations,
      spectrum.element,
    );
  }
}

function curveSeries({ kind, curves }: Curve): ChartLook['series'] {
  const own = curves.map(({ name }, c) => ({ name, colour: '--output', width: 2, ...dashes[c] }));
  return kind === 'response' ? own : [{ name: 'unchanged', colour: '--input', dash: [2, 3] }, ...own];
}

function curveData({ kind, x, curves }: Curve): ChartData {
  return [x, ...(kind === 'response' ? [] : [x]), ...curves.map(({ y }) => y)];
}

function curveWords({ kind, x, curves }: Curve): string {
  const at = (y: Float64Array, share: number) => figure(y[Math.round(share * (x.length - 1))]);
  const list = curves.map(({ name, y }) =>
    [0, 0.5, 1]
      .map((share) => `${name} ${at(y, share)} at ${figure(x[Math.round(share * (x.length - 1))])}`)
      .join(', '),
  );
  return `${curveLooks[kind].title}: ${list.join('; ')}.`;
}

function levelWords(levelDb: Float32Array): string {
  return `Level at the detector, at most ${figure(levelDb.reduce((a, b) => Math.max(a, b), -Infinity))} dBFS.`;
}

function gainWords(gainDb: Float32Array): string {
  const low = gainDb.reduce((a, b) => Math.min(a, b), Infinity),
    high = gainDb.reduce((a, b) => Math.max(a, b), -Infinity);
  return `Gain over time, from ${figure(low)} to ${figure(high)} dB.`;
}
