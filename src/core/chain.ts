/**
 * Chain: processors in series.
 *
 *     input -> first -> second -> ... -> output        latency and tail are the sums
 *
 * Between the processors everything is Float64; the guard and the rounding to the caller's arrays happen once, at the
 * edges. Options set through the chain reach a processor together with the samples that stood at the chain's input at
 * the time of the call: they wait for the latency of what comes before it. What the `set` of a processor costs, memory
 * included, is then spent in `process`.
 *
 * @module
 */
import { requireInteger } from './check.ts';
import { BLOCK } from './pieces.ts';
import type { Processor, Side, StreamFormat } from './processor.ts';
import { Shell } from './shell.ts';

/** Options for the processors of a chain, by their position in it. */
export type ChainOptions = Readonly<Record<number, object>>;

/** Runs processors one after the other; none of them listens to a key. */
export class Chain extends Shell {
  readonly #processors: readonly Processor[];
  readonly #side: Side = { start: 0, trusted: true };
  readonly #clock = this.memory(1); // samples since reset
  #queue: { readonly index: number; readonly due: number; readonly options: object }[] = []; // by due time

  /** @throws RangeError unless every processor has this format */
  constructor(format: StreamFormat, processors: readonly Processor[]) {
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
    this.begin(this.#latencyBefore(processors.length));
  }

  override get tailSamples(): number {
    return this.#processors.reduce((sum, processor) => sum + processor.tailSamples, 0);
  }

  /** Options on their way, as of now. */
  get pending(): NonNullable<Processor['pending']> {
    return this.#queue.map(({ index, due, options }) => ({ index, inSamples: due - this.#clock[0], options }));
  }

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

  protected override advance(x: Float64Array[], count: number): void {
    const processors = this.#processors,
      side = this.#side,
      queue = this.#queue;
    for (; queue.length > 0 && queue[0].due <= this.#clock[0]; queue.shift()) {
      processors[queue[0].index].set(queue[0].options);
    }
    side.end = count;
    for (let p = 0; p < processors.length; p++) processors[p].process(x, x, side);
    this.#clock[0] += count;
  }

  #latencyBefore(index: number): number {
    return this.#processors.slice(0, index).reduce((sum, processor) => sum + processor.latencySamples, 0);
  }

  #at(index: string): Processor {
    if (!/^\d+$/.test(index)) throw new TypeError(`Chain: processors are named by their position, got ${index}`);
    return this.#processors[requireInteger('Chain: processor', Number(index), 0, this.#processors.length - 1)];
  }
}
