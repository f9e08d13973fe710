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
import { DB_PER_OCTAVE } from '../core/decibels.ts';
import { refuse } from '../core/check.ts';
import { DelayLine } from '../core/delay-line.ts';
import { KeyInput } from '../core/key-input.ts';
import { log2InPlace } from '../core/maths.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { NumberRow, ParameterOptions, ParameterTable } from '../core/parameters.ts';
import { copyRows, scratch } from '../core/pieces.ts';
import type { Processor, Side, StreamFormat } from '../core/processor.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { magnitudes } from './detector.ts';

/** Processors that a dynamics block takes in. */
export interface DynamicsParts {
  /**
   * What the key, or the input that stands in for it, passes before the detector. It must have no latency; its number
   * of channels is the number that the key must have.
   */
  readonly keyFilter?: Processor | undefined;
}

/** Rows that the tables of all dynamics blocks have. */
interface DynamicsTable extends ParameterTable {
  readonly lookaheadMs: NumberRow;
  readonly linkPercent: NumberRow;
}

/** A dynamics block but for its gain computer. The first constant that `design` returns is the link share, 0 to 1. */
export abstract class DynamicsShell<T extends DynamicsTable> extends ParameterShell<T> {
  /** The look-ahead: the latency, but for a block whose levels are late. */
  protected readonly lookaheadSamples: number;
  /** State of the gain computer, an array for each row. */
  protected readonly rowState: readonly Float64Array[];
  /** Whether all rows have got the same level: nothing is left to link. */
  protected linked = false;
  readonly #keyFilter: Processor | undefined;
  readonly #key = new KeyInput();
  readonly #filterSide: Side = { trusted: true };
  readonly #heard: Float64Array[]; // level of each key channel
  readonly #rows: Float64Array[]; // the first of them, one for each channel
  readonly #oneRow: Float64Array[];
  readonly #levels: Float64Array[]; // of the samples that come out now
  readonly #lines: readonly DelayLine[]; // of the signal
  readonly #levelLines: readonly DelayLine[];
  readonly #signalDelay: number; // the look-ahead, and what the levels are late by

  /**
   * @param rowState - numbers that the gain computer keeps for each row
   * @param levelsLateSamples - by how much the level rows are late when `hearInput` is done
   */
  constructor(
    owner: string,
    table: T,
    format: StreamFormat,
    options: ParameterOptions<T>,
    { keyFilter }: DynamicsParts,
    rowState: number,
    levelsLateSamples = 0,
  ) {
    super(owner, table, format, options);
    const { sampleRateHz, channels } = format;
    if (keyFilter && (keyFilter.latencySamples !== 0 || keyFilter.format.sampleRateHz !== sampleRateHz)) {
      throw new RangeError(`${owner}: keyFilter must have no latency and run at ${sampleRateHz} Hz`);
    }
    this.#keyFilter = keyFilter && this.own(keyFilter);
    this.#heard = scratch(channels);
    this.#rows = this.#heard.slice(0, channels);
    this.#oneRow = this.#rows.slice(0, 1);
    this.#levels = scratch(channels);
    this.rowState = this.#rows.map(() => this.memory(rowState));
    this.lookaheadSamples = millisecondsToSamples(this.values.lookaheadMs, sampleRateHz);
    this.#signalDelay = this.lookaheadSamples + levelsLateSamples;
    this.#lines = this.#rows.map(() => this.own(new DelayLine(this.#signalDelay)));
    this.#levelLines = this.#rows.map(() => this.own(new DelayLine(this.lookaheadSamples)));
  }

  /** Whether a key can be given to `process`: always. */
  override get takesKey(): boolean {
    return true;
  }

  protected override begin(): void {
    super.begin(this.#signalDelay);
  }

  /** Turns level rows (linear) into gain rows (linear), in place. One row when the channels move as one. */
  protected abstract gains(rows: readonly Float64Array[], count: number): void;

  /** Turns samples into levels; peak unless overridden. `levels` has as many rows as `key`. */
  protected detect(key: readonly Float64Array[], levels: readonly Float64Array[], count: number): void {
    for (let c = 0; c < key.length; c++) magnitudes(key[c], levels[c], count);
  }

  /** Applies gains (linear) to the samples of a channel that they belong to. */
  protected abstract apply(gain: Float64Array, x: Float64Array, count: number, channel: number): void;

  /**
   * Called with the input and the level rows, before these are delayed: a block may raise them. `keyed` says that they are
   * the levels of another signal than the input.
   */
  protected hearInput(
    _x: readonly Float64Array[],
    _rows: readonly Float64Array[],
    _count: number,
    _keyed: boolean,
  ): void {}

  /** Whether the rows will stay alike from here on if they get the same levels: then one is enough. */
  protected rowsAgree(): boolean {
    const first = this.rowState[0];
    for (const state of this.rowState) {
      for (let i = 0; i < first.length; i++) if (state[i] !== first[i]) return false;
    }
    return true;
  }

  /**
   * Does all of a piece in one go, if it can: the channels move as one, by the first row's state, and hear nothing but
   * themselves. Returns whether it has.
   */
  protected atOnce(_x: readonly Float64Array[], _count: number): boolean {
    return false;
  }

  protected override enter({ key }: Side, length: number): void {
    const { channels } = this.format;
    if (key) this.#key.expect(this.owner, key, length);
    else this.#key.makeRoom(channels);
    const heard = key?.length ?? channels,
      filtered = this.#keyFilter?.format.channels ?? heard;
    if (heard !== filtered) refuse(`${this.owner}: key`, `of ${filtered} channels, as its filter is`, heard);
    scratch(heard, this.#heard);
  }

  protected override advance(x: Float64Array[], count: number, side: Side, at: number): void {
    const bare = !(side.key ?? side.trace ?? this.#keyFilter) && this.#signalDelay === 0;
    const asOne = x.length === 1 || (this.k[0] === 1 && this.rowsAgree());
    if (bare && asOne && this.atOnce(x, count)) this.#wakeRows();
    else this.#advanceInSteps(x, count, side, at);
  }

  #advanceInSteps(x: Float64Array[], count: number, side: Side, at: number): void {
    const { key, trace, trusted = false } = side;
    const rows = this.#rows,
      levels = this.#heard,
      keyFilter = this.#keyFilter;
    if (key) this.countRefused(this.#key.load(key, at, count, trusted));
    else if (keyFilter) this.#key.load(x, 0, count, true);
    const heard = key || keyFilter ? this.#key.rows : x;
    this.#filterSide.end = count;
    keyFilter?.process(heard, heard, this.#filterSide);
    this.detect(heard, levels, count);
    this.linked = this.k[0] === 1 || x.length === 1 || x.length !== heard.length;
    if (this.linked) for (let c = 1; c < heard.length; c++) raise(rows[0], levels[c], count);
    const asOne = this.linked && this.rowsAgree();
    const used = asOne ? this.#oneRow : rows;
    if (this.linked) for (let c = 1; c < used.length; c++) used[c].set(rows[0]);
    this.hearInput(x, used, count, heard !== x);

    for (let c = 0; c < x.length && (trace || this.lookaheadSamples > 0); c++) {
      this.#levelLines[c].write(used[asOne ? 0 : c], count);
      if (trace) this.#levelLines[c].read(this.#levels[c], count, this.lookaheadSamples);
    }
    this.gains(used, count);
    for (let c = 0; c < x.length; c++) {
      if (this.#signalDelay > 0) {
        this.#lines[c].write(x[c], count);
        this.#lines[c].read(x[c], count, this.#signalDelay);
      }
      this.apply(used[asOne ? 0 : c], x[c], count, c);
    }
    if (asOne) this.#wakeRows();
    if (trace) {
      copyRows(toDb(this.#levels, count), trace.levelDb, at, count);
      copyRows(toDb(used, count), trace.gainDb, at, count);
    }
  }

  /** A row that sleeps while the channels move as one will wake up where the one row is. */
  #wakeRows(): void {
    for (let c = 1; c < this.rowState.length; c++) this.rowState[c].set(this.rowState[0]);
  }
}

/** Multiplies samples by their gains. */
export function applyGain(gain: Float64Array, x: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) x[i] *= gain[i];
}

/** Raises levels to the magnitudes of other samples. */
export function raise(level: Float64Array, other: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) level[i] = Math.max(level[i], Math.abs(other[i]));
}

/** Linear to dB, in place; silence is -200 dB. */
function toDb(rows: readonly Float64Array[], count: number): readonly Float64Array[] {
  for (const row of rows) {
    log2InPlace(row, count);
    for (let i = 0; i < count; i++) row[i] = Math.max(-200, DB_PER_OCTAVE * row[i]);
  }
  return rows;
}
