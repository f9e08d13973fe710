/**
 * Chain: processors in series.
 *
 *     input -> first -> second -> ... -> output        latency and tail are the sums
 *
 * Between the processors everything is Float64; the guard and the rounding to the caller's arrays happen once, at the
 * edges. Options set through the chain reach a processor together with the samples that stood at the chain's input at
 * the time of the call: they wait for the latency of what comes before it.
 *
 * @module
 */
import { requireInteger } from './check.ts';
import { BLOCK } from './pieces.ts';
import type { Processor, SavedState, Side, StreamFormat } from './processor.ts';
import { Shell } from './shell.ts';

/** Options for the processors of a chain, by their position in it. */
export type ChainOptions = Readonly<Record<number, object>>;

interface Pending {
  readonly index: number;
  readonly due: number;
  readonly options: object;
}

/** Runs processors one after the other; none of them listens to a key. */
export class Chain extends Shell<Record<never, never>> {
  readonly #processors: readonly Processor[];
  readonly #side: Side = { start: 0, trusted: true };
  readonly #clock = this.memory(1); // samples since reset
  #pending: Pending[] = []; // in the order of their due times

  /** @throws RangeError unless every processor has this format */
  constructor(format: StreamFormat, processors: readonly Processor[]) {
    super('Chain', {}, format, {});
    this.#processors = processors.map((processor, p) => {
      const { sampleRateHz, channels } = processor.format;
      if (sampleRateHz !== format.sampleRateHz || channels !== format.channels) {
        throw new RangeError(
          `Chain: processor ${p} must have ${format.channels} channels at ${format.sampleRateHz} Hz, ` +
            `got ${channels} at ${sampleRateHz} Hz`,
        );
      }
      return this.ownProcessor(processor);
    });
    this.begin(sum(processors.map((processor) => processor.latencySamples)));
  }

  override get tailSamples(): number {
    return sum(this.#processors.map((processor) => processor.tailSamples));
  }

  override check(options: ChainOptions): void {
    for (const [index, wanted] of Object.entries(options)) this.#at(index).check(wanted as object);
  }

  override set(options: ChainOptions): void {
    this.check(options);
    for (const [index, wanted] of Object.entries(options)) {
      const upstream = sum(this.#processors.slice(0, Number(index)).map((processor) => processor.latencySamples));
      this.#pending.push({ index: Number(index), due: this.#clock[0] + upstream, options: { ...(wanted as object) } });
    }
    this.#pending.sort((a, b) => a.due - b.due);
  }

  override save(): SavedState {
    const pending = this.#pending.map(({ index, due, options }) => ({
      index,
      inSamples: due - this.#clock[0],
      options,
    }));
    return { ...super.save(), pending };
  }

  override restore(saved: SavedState): void {
    super.restore(saved);
    this.#pending = (saved.pending ?? []).map(({ index, inSamples, options }) => ({
      index,
      due: this.#clock[0] + inSamples,
      options,
    }));
  }

  protected override design(): readonly number[] {
    return [];
  }

  /** What was on its way has arrived: parameters outlive a reset. */
  protected override onReset(): void {
    for (const { index, options } of this.#pending) {
      this.#processors[index].set(options);
      this.#processors[index].reset();
    }
    this.#pending = [];
  }

  protected override pieceLimit(): number {
    return this.#pending.length === 0 ? BLOCK : Math.max(1, this.#pending[0].due - this.#clock[0]);
  }

  protected override advance(x: readonly Float64Array[], _key: readonly Float64Array[], count: number): void {
    const processors = this.#processors,
      side = this.#side;
    while (this.#pending.length > 0 && this.#pending[0].due <= this.#clock[0]) {
      const { index, options } = this.#pending[0];
      this.#pending.shift();
      processors[index].set(options);
    }
    side.end = count;
    for (let p = 0; p < processors.length; p++) processors[p].process(x as Float64Array[], x as Float64Array[], side);
    this.#clock[0] += count;
  }

  #at(index: string): Processor {
    if (!/^\d+$/.test(index)) throw new TypeError(`Chain: processors are named by their position, got ${index}`);
    return this.#processors[requireInteger('Chain: processor', Number(index), 0, this.#processors.length - 1)];
  }
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}
