/**
 * The pictures with their time: which part is seen, and which moment is marked.
 * @module
 */
import { byId, make } from './dom.ts';
import type { Span } from './exports.ts';
import { Pictures } from './pictures.ts';
import { figure } from './words.ts';
import type { Shown } from './workshop.ts';

const STEPS = 1000;

/** Pictures, the part of the time that they show, the moment, and the figures below. */
export class TimeView {
  readonly #pictures = new Pictures(byId('charts'), byId('equations'), (from, to) => this.#see(from, to));
  readonly #from = byId<HTMLInputElement>('from');
  readonly #to = byId<HTMLInputElement>('to');
  readonly #moment = byId<HTMLInputElement>('moment');
  readonly #stills = matchMedia('(prefers-reduced-motion: reduce)');
  #shown: Shown | undefined;
  #span: Span = { from: 0, to: 0 };

  constructor() {
    for (const input of [this.#from, this.#to]) {
      input.addEventListener('change', () => this.#see(Number(this.#from.value), Number(this.#to.value)));
    }
    byId('whole').addEventListener('click', () => this.#see(0, Infinity));
    this.#moment.addEventListener('input', () => this.#point());
  }

  /** The part that is seen, in samples. */
  get span(): Span {
    return this.#span;
  }

  /** Shows a rendering; the part that is seen stays, unless the sound has another length. */
  show(shown: Shown, block: string): void {
    const length = (one: Shown | undefined) => one && one.input.channels[0].length / one.input.sampleRateHz;
    const same = length(shown) === length(this.#shown);
    this.#shown = shown;
    if (!same) this.#span = { from: 0, to: shown.input.channels[0].length };
    this.#draw();
    byId('figures').replaceChildren(...figureList(shown, block));
  }

  /** Follows the player, unless motion is not wanted. */
  follow(seconds: number): void {
    if (!this.#shown || this.#stills.matches) return;
    const sample = seconds * this.#shown.input.sampleRateHz;
    const { from, to } = this.#span;
    if (sample < from || sample >= to) return;
    this.#moment.value = String(Math.round((STEPS * (sample - from)) / (to - from)));
    this.#point();
  }

  #see(fromSeconds: number, toSeconds: number): void {
    if (!this.#shown) return;
    const { sampleRateHz, channels } = this.#shown.input;
    const at = (seconds: number) => Math.min(channels[0].length, Math.max(0, Math.round(seconds * sampleRateHz)));
    const from = at(fromSeconds),
      to = at(toSeconds);
    // At least two samples, else the part stays as it was.
    if (to - from >= 2) this.#span = { from, to };
    this.#draw();
  }

  #draw(): void {
    if (!this.#shown) return;
    const rate = this.#shown.input.sampleRateHz;
    this.#from.value = String(Number((this.#span.from / rate).toFixed(4)));
    this.#to.value = String(Number((this.#span.to / rate).toFixed(4)));
    this.#pictures.show(this.#shown, this.#span);
    this.#point();
  }

  #point(): void {
    if (!this.#shown) return;
    const { from, to } = this.#span;
    const sample = Math.min(to - 1, from + Math.round((Number(this.#moment.value) / STEPS) * (to - from)));
    this.#pictures.point(sample);
    const { input, output, trace } = this.#shown;
    const words = [
      `${figure(sample / input.sampleRateHz, 3)} s`,
      `input ${figure(input.channels[0][sample], 3)}`,
      `output ${figure(output.channels[0][sample], 3)}`,
      ...(trace ? [`level ${figure(trace.levelDb[sample])} dB`, `gain ${figure(trace.gainDb[sample])} dB`] : []),
    ].join(', ');
    byId('moment-values').textContent = words;
    this.#moment.setAttribute('aria-valuetext', words);
  }
}

function figureList(
  { input, latencySamples, loudnessLufs, peaksDb, openings, swingDb }: Shown,
  block: string,
): HTMLElement[] {
  const milliseconds = (1000 * latencySamples) / input.sampleRateHz;
  const rows: (readonly [string, string])[] = [
    ['Loudness, before and after', `${figure(loudnessLufs[0])} and ${figure(loudnessLufs[1])} LUFS`],
    ['Peak, before and after', `${figure(peaksDb[0])} and ${figure(peaksDb[1])} dBFS`],
    ['Latency', `${latencySamples} samples, ${figure(milliseconds, 2)} ms`],
    ...(openings === undefined ? [] : [[`Openings of the ${block}`, String(openings)] as const]),
    ...(swingDb === undefined ? [] : [['Swing of the gain', `${figure(swingDb)} dB`] as const]),
  ];
  return rows.map(([name, value]) => make('div', {}, make('dt', {}, name), make('dd', {}, value)));
}
