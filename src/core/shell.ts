/**
 * Shell: what every processor needs besides its kernel, written once.
 *
 *                 +--------------------------- dry, delayed by the latency --+
 *                 |                                                          v
 *     input -> guard -> piece of <= 128 samples in Float64 -> kernel -> dry/wet mix -> output
 *
 * - Pieces never cross a multiple of 128 samples counted from `reset`, so that what a kernel does once per piece
 *   falls on the same samples however the signal is cut into blocks.
 * - A block turns its parameters into a vector of constants (`design`). After a `set` the vector glides to its new
 *   place sample by sample; meanwhile pieces are one sample long, so a kernel may take its constants as constant.
 * - All numbers that `process` changes live in Float64 arrays that the shell knows (`own`, `memory`): `reset`, `save` and
 *   `restore` need no code in a block.
 *
 * @module
 */
import { DelayLine } from './delay-line.ts';
import { Glide } from './glide.ts';
import { type ParameterOptions, type ParameterTable, type ParameterValues, resolveParameters } from './parameters.ts';
import { BLOCK, load, requireFormat, requireShape, scratch, store } from './pieces.ts';
import type { Channels, Part, Processor, SavedState, Side, StreamFormat, Trace } from './processor.ts';
import { packArrays, requireLike, unpackArrays } from './saved-state.ts';
import { requireInteger } from './check.ts';

const NO_SIDE: Side = {};

/** A processor but for its kernel. A subclass ends its constructor with a call of `begin`. */
export abstract class Shell<T extends ParameterTable> implements Processor {
  readonly format: StreamFormat;
  readonly keyChannels: number;
  /** Constants of the kernel at the present sample, in the order that `design` returns them. */
  protected k: Float64Array = new Float64Array(0);
  /** Parameters as last set. */
  protected values: ParameterValues<T>;
  /** Whether the caller wants the inner signals of this block. */
  protected traced = false;
  readonly #owner: string;
  readonly #table: T;
  readonly #x: Float64Array[];
  readonly #key: Float64Array[];
  readonly #loudest: Float64Array[]; // the first of them alone: a key with another number of channels
  readonly #scratch = new Float64Array(BLOCK);
  readonly #clock = new Float64Array(2); // samples since reset; refused samples since reset
  readonly #state: Float64Array[] = [];
  readonly #parts: Part[] = [];
  readonly #processors: Processor[] = [];
  #glide!: Glide;
  #dry: DelayLine[] = [];
  #mix = -1; // index in `k` of the wet share; below 0: no dry/wet mix
  #latency = 0;

  /** @throws TypeError or RangeError as the table demands. */
  constructor(owner: string, table: T, format: StreamFormat, options: ParameterOptions<T>, keyChannels = 0) {
    this.format = requireFormat(owner, format);
    this.#owner = owner;
    this.#table = table;
    this.values = this.#resolve(options);
    this.keyChannels = keyChannels;
    this.#x = scratch(this.format.channels);
    this.#key = scratch(keyChannels);
    this.#loudest = this.#key.slice(0, 1);
  }

  get latencySamples(): number {
    return this.#latency;
  }

  get tailSamples(): number {
    return 0;
  }

  get nonFiniteInputs(): number {
    return this.#clock[1];
  }

  process(input: Channels, output: Channels, side: Side = NO_SIDE): void {
    const owner = this.#owner,
      channels = this.format.channels;
    const { key, trace, trusted = false } = side;
    const length = input[0]?.length ?? 0;
    requireShape(owner, 'input', input, channels, length);
    requireShape(owner, 'output', output, channels, length);
    if (key) this.requireKey(key, length);
    const end = side.end === undefined ? length : requireInteger(`${owner}: end`, side.end, 0, length);
    const start = side.start === undefined ? 0 : requireInteger(`${owner}: start`, side.start, 0, end);

    const x = this.#x,
      clock = this.#clock,
      glide = this.#glide;
    this.traced = trace !== undefined;
    for (let at = start; at < end;) {
      const offset = clock[0] % BLOCK;
      if (offset === 0) this.onGrid();
      const count = glide.active ? 1 : Math.min(BLOCK - offset, end - at, this.pieceLimit());
      if (glide.active) glide.step();
      for (let c = 0; c < channels; c++) clock[1] += load(input[c], at, count, x[c], trusted);
      this.#advance(key, at, count, trusted);
      if (trace) this.writeTrace(trace, at, count);
      for (let c = 0; c < channels; c++) store(x[c], output[c], at, count);
      clock[0] += count;
      at += count;
    }
  }

  check(options: ParameterOptions<T>): void {
    this.#resolve(options, this.values);
  }

  set(options: ParameterOptions<T>): void {
    const values = this.#resolve(options, this.values);
    this.values = values;
    this.#glide.start(this.design(values));
  }

  reset(): void {
    for (const array of this.#state) array.fill(0);
    for (const part of this.#parts) part.reset();
    for (const processor of this.#processors) processor.reset();
    this.onReset();
  }

  save(): SavedState {
    return {
      owner: this.#owner,
      options: { ...this.values },
      arrays: packArrays(this.#arrays()),
      parts: this.#processors.map((processor) => processor.save()),
    };
  }

  restore(saved: SavedState): void {
    const arrays = this.#arrays();
    requireLike(this.#owner, saved, arrays, this.#processors.length);
    const values = this.#resolve(saved.options as ParameterOptions<T>);
    for (const name in this.#table) {
      if (this.#table[name].fixed && values[name] !== this.values[name]) {
        throw new RangeError(`${this.#owner}: saved state must have ${name} ${this.values[name]}, got ${values[name]}`);
      }
    }
    this.#processors.forEach((processor, p) => processor.restore(saved.parts[p]));
    unpackArrays(saved.arrays, arrays);
    this.values = values;
    this.onRestore();
  }

  /** Last call of a subclass's constructor. `mix` is the index of the wet share among the constants, if there is one. */
  protected begin(latencySamples = 0, mix = -1): void {
    this.#glide = this.own(new Glide(this.design(this.values), this.format.sampleRateHz));
    this.k = this.#glide.value;
    this.#latency = latencySamples;
    this.#mix = mix;
    if (mix >= 0) this.#dry = this.#x.map(() => this.own(new DelayLine(latencySamples)));
    this.#state.push(this.#clock);
    this.reset();
  }

  /** Makes `part` one of this processor's: its state is reset, saved and restored with the rest. */
  protected own<P extends Part>(part: P): P {
    this.#parts.push(part);
    return part;
  }

  /** The same for a whole processor inside this one. */
  protected ownProcessor<P extends Processor>(processor: P): P {
    this.#processors.push(processor);
    return processor;
  }

  /** An array of state, zero after `reset`. */
  protected memory(length: number): Float64Array {
    const array = new Float64Array(length);
    this.#state.push(array);
    return array;
  }

  /** The constants that belong to these parameters; they glide by linear interpolation. */
  protected abstract design(values: ParameterValues<T>): readonly number[];

  /** Rules between parameters; `prefix` begins the message. Called before a subclass has its fields. @throws RangeError */
  protected requireTogether(_values: ParameterValues<T>, _prefix: string): void {}

  /**
   * Processes `x[c][0 .. count)` in place; `count` is at most 128.
   * @param key - samples to listen to: `x` itself unless a key was given; not to be changed
   */
  protected abstract advance(x: readonly Float64Array[], key: readonly Float64Array[], count: number): void;

  /** How many samples the next piece may have at most: fewer than 128 where something is due within it. */
  protected pieceLimit(): number {
    return BLOCK;
  }

  /** @throws RangeError unless this key can be listened to */
  protected requireKey(key: Channels, length: number): void {
    if (this.keyChannels === 0) throw new TypeError(`${this.#owner}: takes no key`);
    requireShape(this.#owner, 'key', key, key.length, length);
  }

  /** Called before the piece that begins at a multiple of 128 samples since `reset`. */
  protected onGrid(): void {}

  /** Called at the end of `reset`, for state that does not begin at 0. */
  protected onReset(): void {}

  /** Called at the end of `restore`, for what follows from the parameters but is neither constant nor state. */
  protected onRestore(): void {}

  /** Writes the inner signals of the piece just processed. */
  protected writeTrace(_trace: Trace, _at: number, _count: number): void {}

  #advance(key: Channels | undefined, at: number, count: number, trusted: boolean): void {
    const x = this.#x,
      dry = this.#dry,
      delayed = this.#scratch,
      latency = this.#latency;
    for (let c = 0; c < dry.length; c++) dry[c].write(x[c], count);
    this.advance(x, key ? this.#loadKey(key, at, count, trusted) : x, count);
    const wet = this.#mix < 0 ? 1 : this.k[this.#mix];
    if (wet === 1) return;
    for (let c = 0; c < dry.length; c++) {
      const y = x[c];
      dry[c].read(delayed, count, latency);
      // A wet share of 0 is the dry signal itself, the sign of its zeros included.
      for (let i = 0; i < count; i++) y[i] = wet === 0 ? delayed[i] : delayed[i] + wet * (y[i] - delayed[i]);
    }
  }

  /** A key with another number of channels than the block listens to counts as its loudest sample. */
  #loadKey(key: Channels, at: number, count: number, trusted: boolean): readonly Float64Array[] {
    const rows = this.#key,
      clock = this.#clock;
    const first = rows[0],
      other = this.#scratch;
    if (key.length === rows.length) {
      for (let c = 0; c < rows.length; c++) clock[1] += load(key[c], at, count, rows[c], trusted);
      return rows;
    }
    clock[1] += load(key[0], at, count, first, trusted);
    for (let c = 1; c < key.length; c++) {
      clock[1] += load(key[c], at, count, other, trusted);
      for (let i = 0; i < count; i++) if (Math.abs(other[i]) > Math.abs(first[i])) first[i] = other[i];
    }
    return this.#loudest;
  }

  #arrays(): Float64Array[] {
    return [...this.#state, ...this.#parts.flatMap((part) => part.state)];
  }

  #resolve(options: ParameterOptions<T>, current?: ParameterValues<T>): ParameterValues<T> {
    const prefix = `${this.#owner}: `;
    const values = resolveParameters(prefix, this.#table, options, this.format.sampleRateHz, current);
    this.requireTogether(values, prefix);
    return values;
  }
}
