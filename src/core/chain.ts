/**
 * Chain: processors in series.
 *
 *     input -> first -> second -> ... -> output        latency and tail are the sums
 *
 * Between the processors everything is Float64; the guard and the rounding to the caller's arrays happen once, at the
 * edges. Processors that are named listeners hear the chain's key, each delayed by the latency of what comes before it. Options set through the chain reach a processor together with the samples that stood at the chain's input at
 * the time of the call: they wait for the latency of what comes before it. What the `set` of a processor costs, memory
 * included, is then spent in `process`.
 *
 * @module
 */
import { refuse, requireInteger } from './check.ts';
import { DelayLine } from './delay-line.ts';
import { KeyInput } from './key-input.ts';
import { BLOCK, scratch } from './pieces.ts';
import type { Channels, Processor, Side, StreamFormat } from './processor.ts';
import { Shell } from './shell.ts';

/** Options for the processors of a chain, by their position in it. */
export type ChainOptions = Readonly<Record<number, object>>;

/** Who hears the key of a chain. */
export interface ChainKey {
  /** Channels that the key always has. */
  readonly channels: number;
  /** Positions of the processors that listen to it; the others listen to what they process. */
  readonly listeners: readonly number[];
}

/** A listener's key: what it has heard so far, and what it hears now. */
interface Ear {
  readonly lines: readonly DelayLine[];
  readonly rows: readonly Float64Array[];
  readonly delaySamples: number;
}

/**
 * Runs processors one after the other.
 *
 * @example
 * ```ts
 * import { Chain } from 'batterhead/core';
 * import { Gate, Limiter } from 'batterhead/dynamics';
 *
 * const format = { sampleRateHz: 48000, channels: 1 };
 * const strip = new Chain(format, [new Gate(format, { lookaheadMs: 2 }), new Limiter(format)]);
 * console.log(strip.latencySamples); // that of both
 * ```
 */
export class Chain extends Shell {
  readonly #processors: readonly Processor[];
  readonly #side: Side = { start: 0, trusted: true };
  readonly #listened: boolean;
  readonly #keyChannels: number;
  readonly #key = new KeyInput();
  readonly #ears: readonly (Ear | undefined)[]; // of each processor
  readonly #clock = this.memory(1); // samples since reset
  #queue: { readonly index: number; readonly due: number; readonly options: object }[] = []; // by due time

  /** @throws RangeError unless every processor has this format, and every listener is one that takes a key */
  constructor(format: StreamFormat, processors: readonly Processor[], key: ChainKey = { channels: 0, listeners: [] }) {
    super('Chain', format);
    this.#processors = processors.map((processor, p) => {
      const { sampleRateHz, channels } = processor.format;
      if (sampleRateHz !== format.sampleRateHz || channels !== format.channels) {
        throw new RangeError(
          `Chain: processor ${p} must have ${format.channels} channels at ${format.sampleRateHz} Hz, ` +
            `got ${channels} at ${sampleRateHz} Hz`,
        );
      }
      return this.own(processor);
    });
    for (const index of key.listeners) {
      if (!this.#at(String(index)).takesKey) throw new RangeError(`Chain: processor ${index} takes no key`);
    }
    this.#listened = key.listeners.length > 0;
    this.#keyChannels = key.channels;
    this.#ears = processors.map((_, p) => (key.listeners.includes(p) ? this.#ear(p, key.channels) : undefined));
    this.#key.makeRoom(key.channels);
    this.begin(this.#latencyBefore(processors.length));
  }

  override get takesKey(): boolean {
    return this.#listened;
  }

  override get tailSamples(): number {
    return this.#processors.reduce((sum, processor) => sum + processor.tailSamples, 0);
  }

  /** Options on their way, as of now. */
  get pending(): NonNullable<Processor['pending']> {
    return this.#queue.map(({ index, due, options }) => ({ index, inSamples: due - this.#clock[0], options }));
  }

  /** Sets that wait for their samples; only a restored state writes them. */
  set pending(pending: NonNullable<Processor['pending']>) {
    this.#queue = pending.map(({ index, inSamples, options }) => ({ index, due: inSamples + this.#clock[0], options }));
  }

  override check(options: ChainOptions): void {
    for (const [index, wanted] of Object.entries<object>(options)) this.#at(index).check(wanted);
  }

  override set(options: ChainOptions): void {
    this.check(options);
    for (const [position, wanted] of Object.entries<object>(options)) {
      const index = Number(position);
      this.#queue.push({ index, due: this.#clock[0] + this.#latencyBefore(index), options: { ...wanted } });
    }
    this.#queue.sort((a, b) => a.due - b.due);
  }

  /** What was on its way has arrived: parameters outlive a reset. */
  protected override onReset(): void {
    for (const { index, options } of this.#queue) {
      this.#processors[index].set(options);
      this.#processors[index].reset();
    }
    this.#queue = [];
  }

  protected override nextPiece(): number {
    return this.#queue.length === 0 ? BLOCK : Math.max(1, this.#queue[0].due - this.#clock[0]);
  }

  protected override enter(side: Side, length: number): void {
    const { key } = side;
    if (!key || !this.takesKey) {
      super.enter(side, length);
      return;
    }
    if (key.length !== this.#keyChannels) refuse('Chain: key', `of ${this.#keyChannels} channels`, key.length);
    this.#key.expect(this.owner, key, length);
  }

  protected override advance(x: Float64Array[], count: number, { key, trusted = false }: Side, at: number): void {
    const processors = this.#processors,
      side = this.#side,
      queue = this.#queue;
    for (; queue.length > 0 && queue[0].due <= this.#clock[0]; queue.shift()) {
      processors[queue[0].index].set(queue[0].options);
    }
    if (this.takesKey) this.#hear(key, count, trusted, at);
    side.end = count;
    for (let p = 0; p < processors.length; p++) {
      side.key = this.#ears[p]?.rows;
      processors[p].process(x, x, side);
    }
    this.#clock[0] += count;
  }

  /** Hands the key, or silence in its place, to every listener at its time. */
  #hear(key: Channels | undefined, count: number, trusted: boolean, at: number): void {
    const heard = this.#key.rows;
    if (key) this.countRefused(this.#key.load(key, at, count, trusted));
    else for (let c = 0; c < heard.length; c++) heard[c].fill(0, 0, count);
    for (const ear of this.#ears) {
      if (!ear) continue;
      for (let c = 0; c < heard.length; c++) {
        ear.lines[c].write(heard[c], count);
        ear.lines[c].read(ear.rows[c], count, ear.delaySamples);
      }
    }
  }

  #ear(index: number, channels: number): Ear {
    const delaySamples = this.#latencyBefore(index);
    const rows = scratch(channels);
    return { rows, delaySamples, lines: rows.map(() => this.own(new DelayLine(delaySamples))) };
  }

  #latencyBefore(index: number): number {
    return this.#processors.slice(0, index).reduce((sum, processor) => sum + processor.latencySamples, 0);
  }

  #at(index: string): Processor {
    if (!/^\d+$/.test(index)) throw new TypeError(`Chain: processors are named by their position, got ${index}`);
    return this.#processors[requireInteger('Chain: processor', Number(index), 0, this.#processors.length - 1)];
  }
}
