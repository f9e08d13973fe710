/**
 * Dynamics shell: what every dynamics block does around its gain computer.
 *
 *     key -> key filter -> detector -> level rows -> [ gain computer of the block ] -> gain rows
 *                                                                                         v
 *     input -> delayed by the look-ahead ------------------------------------------------ x -> output
 *
 * There is a row for each channel. Channels linked at 100 %, and a key with another number of channels than the block,
 * give all rows the loudest level; once the rows agree, one of them works for all.
 *
 * @module
 */
import { DelayLine } from '../core/delay-line.ts';
import { log2InPlace } from '../core/maths.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { copyRows, scratch } from '../core/pieces.ts';
import type { Channels, Processor, Side, StreamFormat, Trace } from '../core/processor.ts';
import { Shell } from '../core/shell.ts';
import { magnitudes } from './detector.ts';

/** Processors that a dynamics block takes in. */
export interface DynamicsParts {
  /**
   * What the key, or the input that stands in for it, passes before the detector. It must have no latency; its number
   * of channels is the number that the key must have.
   */
  readonly keyFilter?: Processor | undefined;
}

/** What a dynamics block needs of its shell. */
export interface DynamicsShape<T extends ParameterTable> {
  readonly lookaheadSamples: (values: ParameterValues<T>) => number;
  /** Numbers of state of the gain computer for each row. */
  readonly rowState: number;
}

/** What a trace shows for silence. */
const SILENCE_DB = -200;
/** 20 lg 2: dB in a factor of two. */
export const DB_PER_OCTAVE = 6.020599913279624;

/** A dynamics block but for its gain computer. The first constant that `design` returns is the link share, 0 to 1. */
export abstract class DynamicsShell<T extends ParameterTable> extends Shell<T> {
  /** State of the gain computer, an array for each row. */
  protected readonly rowState: readonly Float64Array[];
  /** Whether all rows have got the same level: nothing is left to link. */
  protected linked = false;
  readonly #owner: string;
  readonly #keyFilter: Processor | undefined;
  readonly #key: Float64Array[];
  readonly #keySide: Side = { start: 0, trusted: true };
  readonly #heard: Float64Array[]; // level of each key channel
  readonly #rows: Float64Array[]; // the first of them, one for each channel
  readonly #oneRow: Float64Array[];
  readonly #levels: Float64Array[]; // of the samples that come out now
  readonly #signalLines: DelayLine[];
  readonly #levelLines: DelayLine[];
  readonly #lookahead: number;
  #rowsUsed: Float64Array[];

  constructor(
    owner: string,
    table: T,
    format: StreamFormat,
    options: ParameterOptions<T>,
    parts: DynamicsParts,
    shape: DynamicsShape<T>,
  ) {
    const { keyFilter } = parts;
    super(owner, table, format, options, keyFilter?.format.channels ?? format.channels);
    if (keyFilter && keyFilter.latencySamples !== 0) {
      throw new RangeError(`${owner}: keyFilter must have a latency of 0 samples, got ${keyFilter.latencySamples}`);
    }
    if (keyFilter && keyFilter.format.sampleRateHz !== format.sampleRateHz) {
      throw new RangeError(
        `${owner}: keyFilter must run at ${format.sampleRateHz} Hz, got ${keyFilter.format.sampleRateHz}`,
      );
    }
    this.#owner = owner;
    this.#keyFilter = keyFilter && this.ownProcessor(keyFilter);
    this.#key = scratch(keyFilter ? keyFilter.format.channels : 0);
    this.#heard = scratch(Math.max(format.channels, this.keyChannels));
    this.#rows = this.#heard.slice(0, format.channels);
    this.#oneRow = this.#rows.slice(0, 1);
    this.#rowsUsed = this.#rows;
    this.#levels = scratch(format.channels);
    this.rowState = this.#rows.map(() => this.memory(shape.rowState));
    this.#lookahead = shape.lookaheadSamples(this.values);
    const lines = () => (this.#lookahead === 0 ? [] : this.#rows.map(() => this.own(new DelayLine(this.#lookahead))));
    this.#signalLines = lines();
    this.#levelLines = lines();
  }

  /** Turns level rows (linear) into gain rows (linear), in place. One row when the channels move as one. */
  protected abstract gains(rows: readonly Float64Array[], count: number): void;

  /** Turns samples into levels; peak unless overridden. `levels` has as many rows as `key`. */
  protected detect(key: readonly Float64Array[], levels: readonly Float64Array[], count: number): void {
    for (let c = 0; c < key.length; c++) magnitudes(key[c], levels[c], count);
  }

  /** Called when another signal is heard than the input `x`: a block may raise the level rows by it. */
  protected hearInput(_x: readonly Float64Array[], _rows: readonly Float64Array[], _count: number): void {}

  /** Whether the rows will stay alike from here on if they get the same levels: then one is enough. */
  protected rowsAgree(): boolean {
    const states = this.rowState,
      first = states[0];
    for (let c = 1; c < states.length; c++) {
      for (let i = 0; i < first.length; i++) if (states[c][i] !== first[i]) return false;
    }
    return true;
  }

  protected override requireKey(key: Channels, length: number): void {
    super.requireKey(key, length);
    if (this.#keyFilter && key.length !== this.keyChannels) {
      throw new RangeError(
        `${this.#owner}: key must have ${this.keyChannels} channels, as its filter has, got ${key.length}`,
      );
    }
  }

  protected override advance(x: readonly Float64Array[], key: readonly Float64Array[], count: number): void {
    const rows = this.#rows,
      levels = this.#heard;
    const heard = this.#keyFilter ? this.#filter(this.#keyFilter, key, count) : key;
    this.detect(heard, levels, count);
    const linked = x.length === 1 || heard.length !== x.length || this.k[0] === 1;
    if (linked) for (let c = 1; c < heard.length; c++) raise(rows[0], levels[c], count);
    if (heard !== x) this.hearInput(x, linked ? this.#oneRow : rows, count);
    const asOne = linked && this.rowsAgree();
    this.linked = linked;
    if (linked && !asOne) for (let c = 1; c < rows.length; c++) rows[c].set(rows[0]);
    const used = asOne ? this.#oneRow : rows;
    this.#rowsUsed = used;
    this.#keepLevels(used, count);
    this.gains(used, count);
    // A row that sleeps while the channels move as one will wake up where the one row is.
    if (asOne) for (let c = 1; c < rows.length; c++) this.rowState[c].set(this.rowState[0]);

    const lines = this.#signalLines;
    for (let c = 0; c < x.length; c++) {
      if (lines.length > 0) {
        lines[c].write(x[c], count);
        lines[c].read(x[c], count, this.#lookahead);
      }
      multiply(x[c], asOne ? rows[0] : rows[c], count);
    }
  }

  protected override writeTrace(trace: Trace, at: number, count: number): void {
    for (let c = 0; c < this.#rowsUsed.length; c++) toDb(this.#rows[c], count);
    for (let c = 0; c < this.#levels.length; c++) toDb(this.#levels[c], count);
    copyRows(this.#levels, trace.levelDb, at, count);
    copyRows(this.#rowsUsed, trace.gainDb, at, count);
  }

  #filter(keyFilter: Processor, key: readonly Float64Array[], count: number): readonly Float64Array[] {
    const filtered = this.#key,
      side = this.#keySide;
    if (key.length !== filtered.length) {
      throw new RangeError(`${this.#owner}: needs a key of ${filtered.length} channels, as its key filter has`);
    }
    for (let c = 0; c < key.length; c++) for (let i = 0; i < count; i++) filtered[c][i] = key[c][i];
    side.end = count;
    keyFilter.process(filtered, filtered, side);
    return filtered;
  }

  /** Keeps what the detector saw of the samples that come out in this piece. */
  #keepLevels(used: readonly Float64Array[], count: number): void {
    const lines = this.#levelLines,
      levels = this.#levels;
    for (let c = 0; c < levels.length; c++) {
      const row = used[c < used.length ? c : 0];
      if (lines.length > 0) {
        lines[c].write(row, count);
        lines[c].read(levels[c], count, this.#lookahead);
      } else if (this.traced) {
        for (let i = 0; i < count; i++) levels[c][i] = row[i];
      }
    }
  }
}

/** Raises levels to those of other samples. */
export function raise(level: Float64Array, other: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) {
    const magnitude = Math.abs(other[i]);
    if (magnitude > level[i]) level[i] = magnitude;
  }
}

function multiply(x: Float64Array, gain: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) x[i] *= gain[i];
}

/** Linear to dB, in place; nothing below {@link SILENCE_DB}. */
function toDb(row: Float64Array, count: number): void {
  log2InPlace(row, count);
  for (let i = 0; i < count; i++) {
    const db = DB_PER_OCTAVE * row[i];
    row[i] = db > SILENCE_DB ? db : SILENCE_DB;
  }
}
