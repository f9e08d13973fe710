/**
 * Mix meter: every figure of a mix while it is rendered, and its loudness over time in a bounded number of columns.
 * @module
 */
import type { Channels, StreamFormat } from '../core/processor.ts';
import { type ProgrammeFigures, ProgrammeMeter } from '../meters/programme-meter.ts';

/** Loudness over time: the loudest of each column, in LUFS; null below the least that is told. */
export interface LoudnessOverTime {
  /** Length of a column. */
  readonly columnSeconds: number;
  /** Of 400 ms, at the time at which they end. */
  readonly momentaryLufs: readonly (number | null)[];
  /** Of 3 s, at the time at which they end. */
  readonly shortTermLufs: readonly (number | null)[];
}

/** Most columns of anything over time in a report: what a picture of that width can show. */
export const MOST_COLUMNS = 480;

/** How often the loudness is asked for; EBU Tech 3341 wants 10 times a second. */
const STEPS_PER_SECOND = 10;
/** Loudness of the absolute gate of ITU-R BS.1770. */
const LEAST_LUFS = -70;

/** Measures a mix of a known length. */
export class MixMeter {
  readonly #meter: ProgrammeMeter;
  readonly #frames: number;
  readonly #stepFrames: number;
  readonly #momentary: Float64Array;
  readonly #shortTerm: Float64Array;
  #frame = 0;

  constructor(format: StreamFormat, frames: number) {
    this.#meter = new ProgrammeMeter(format);
    this.#frames = Math.max(1, frames);
    this.#stepFrames = Math.round(format.sampleRateHz / STEPS_PER_SECOND);
    const columns = Math.min(MOST_COLUMNS, Math.ceil(this.#frames / this.#stepFrames));
    this.#momentary = new Float64Array(columns).fill(-Infinity);
    this.#shortTerm = new Float64Array(columns).fill(-Infinity);
  }

  /** Takes in `channels[c][start .. end)`. */
  process(channels: Channels, start: number, end: number): void {
    for (let at = start; at < end;) {
      const count = Math.min(end - at, this.#stepFrames - (this.#frame % this.#stepFrames));
      this.#meter.process(channels, at, at + count);
      at += count;
      this.#frame += count;
      if (this.#frame % this.#stepFrames === 0) this.#note();
    }
  }

  /** All figures of what has been taken in. */
  get figures(): ProgrammeFigures {
    return this.#meter.figures;
  }

  /** Loudness over time of what has been taken in. */
  get loudness(): LoudnessOverTime {
    const told = (values: Float64Array) =>
      Array.from(values, (lufs) => (lufs < LEAST_LUFS ? null : Math.round(lufs * 100) / 100));
    return {
      columnSeconds: this.#frames / this.#meter.format.sampleRateHz / this.#momentary.length,
      momentaryLufs: told(this.#momentary),
      shortTermLufs: told(this.#shortTerm),
    };
  }

  #note(): void {
    const momentary = this.#momentary,
      shortTerm = this.#shortTerm;
    const column = Math.min(momentary.length - 1, Math.floor(((this.#frame - 1) * momentary.length) / this.#frames));
    momentary[column] = Math.max(momentary[column], this.#meter.momentaryLufs);
    shortTerm[column] = Math.max(shortTerm[column], this.#meter.shortTermLufs);
  }
}
