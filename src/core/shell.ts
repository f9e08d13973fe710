/**
 * Shell: what every processor needs besides its kernel, written once.
 *
 *     input -> guard -> piece of <= 128 samples in Float64 -> kernel, in place -> output
 *
 * - Trusted rows of 128 doubles, in place, are what a kernel works on: nothing is copied between processors in series that
 *   are run on such rows, which would cost as much as a plain kernel.
 * - Pieces never cross a multiple of 128 samples counted from `reset`, so that what a kernel does once per piece
 *   falls on the same samples however the signal is cut into blocks.
 * - All numbers that `process` changes live in Float64 arrays that the shell knows of (`own`, `memory`), so that a block
 *   needs no code to be reset, saved and restored.
 *
 * @module
 */
import { BLOCK, isScratch, load, requireFormat, requirePart, requireShape, scratch, store } from './pieces.ts';
import type { Channels, Part, Processor, Side, StreamFormat } from './processor.ts';
import type { SimdRows } from './simd-kernels.ts';

const NO_SIDE: Side = {};

/** A processor but for its kernel. A subclass ends its constructor with a call of `begin`. */
export abstract class Shell implements Processor {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  protected readonly owner: string;
  readonly #parts: Part[] = [];
  #x: Float64Array[];
  #simd: SimdRows | undefined; // whose rows x is
  #latency = 0;
  readonly #counts = this.memory(2); // since reset: samples, and how many of them (of the key's, too) were refused

  constructor(owner: string, format: StreamFormat) {
    this.owner = owner;
    this.format = requireFormat(owner, format);
    this.#x = scratch(format.channels);
  }

  get latencySamples(): number {
    return this.#latency;
  }

  get takesKey(): boolean {
    return false;
  }

  get tailSamples(): number {
    return 0;
  }

  get nonFiniteInputs(): number {
    return this.#counts[1];
  }

  get values(): object {
    return {};
  }

  get parts(): readonly Part[] {
    return this.#parts;
  }

  /** Every number that is remembered between calls, as `saveState` takes it. */
  get state(): readonly Float64Array[] {
    return this.#parts.flatMap((part) => part.state);
  }

  process(input: Channels, output: Channels, side: Side = NO_SIDE): void {
    const { channels } = this.format;
    const x = this.#x,
      counts = this.#counts;
    const length = requireShape(this.owner, 'input', input, channels);
    requireShape(this.owner, 'output', output, channels, length);
    const { start = 0, end = length, trusted = false } = side;
    requirePart(this.owner, length, start, end);
    this.enter(side, length);
    const rows = trusted && input === output && isScratch(output) ? output : undefined;
    for (let at = start; at < end;) {
      const offset = counts[0] % BLOCK;
      if (offset === 0) this.onGrid();
      const count = Math.min(BLOCK - offset, end - at, this.nextPiece());
      if (rows && at === 0) this.advance(rows, count, side, 0);
      else {
        const simd = count === BLOCK && length === BLOCK ? this.#simd : undefined;
        for (let c = 0; c < channels; c++)
          if (!simd?.load(c, input[c])) counts[1] += load(input[c], at, count, x[c], trusted);
        this.advance(x, count, side, at);
        for (let c = 0; c < channels; c++) if (!simd?.store(c, output[c])) store(x[c], output[c], at, count);
      }
      counts[0] += count;
      at += count;
    }
  }

  /** Without parameters there is nothing to set. */
  check(options: object): void {
    for (const name in options) throw new TypeError(`${this.owner}: ${name} is unknown; there are no parameters`);
  }

  set(options: object): void {
    this.check(options);
  }

  reset(): void {
    for (const part of this.#parts) part.reset();
    this.onReset();
  }

  /** Last call of a subclass's constructor. */
  protected begin(latencySamples = 0): void {
    this.#latency = latencySamples;
    this.reset();
  }

  /** Has pieces lie where SIMD kernels find them. Not for a block whose `advance` runs processors that share these rows. */
  protected workIn(simd: SimdRows | undefined): void {
    if (!simd) return;
    this.#simd = simd;
    this.#x = simd.rows.slice(0, this.format.channels);
  }

  /** Makes `part` one of this processor's: its state is reset, saved and restored with the rest. */
  protected own<P extends Part>(part: P): P {
    this.#parts.push(part);
    return part;
  }

  /** An array of state, zero after `reset`. */
  protected memory(length: number): Float64Array {
    const array = new Float64Array(length);
    this.own({ state: [array], reset: () => array.fill(0) });
    return array;
  }

  /**
   * Processes `x[c][0 .. count)` in place, and leaves the rest of the rows alone; `count` is at most 128. Where there is a
   * side, its arrays' index `at` belongs to the first of these samples.
   */
  protected abstract advance(x: Float64Array[], count: number, side: Side, at: number): void;

  /** Counts samples of a key that the guard refused. */
  protected countRefused(samples: number): void {
    this.#counts[1] += samples;
  }

  /** Called at the start of `process`, for what the side must be. @throws RangeError or TypeError */
  protected enter(side: Side, _length: number): void {
    if (side.key) throw new TypeError(`${this.owner}: takes no key`);
  }

  /** Called before each piece; returns how many samples it may have at most. */
  protected nextPiece(): number {
    return BLOCK;
  }

  /** Called before the piece that begins at a multiple of 128 samples since `reset`. */
  protected onGrid(): void {}

  /** Called at the end of `reset`, for state that does not begin at 0. */
  protected onReset(): void {}
}
