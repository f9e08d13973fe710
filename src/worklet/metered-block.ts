/**
 * Metered block: a block of a chain or a strip that takes its bypass among its options, and notes what its detector did.
 * @module
 */
import type { RunningBlock } from '../blocks/create-block.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Channels, Part, Processor, Side, StreamFormat } from '../core/processor.ts';

/** A block as a processor of a chain. */
export class MeteredBlock implements Processor {
  readonly format: StreamFormat;
  readonly latencySamples: number;
  readonly takesKey: boolean;
  readonly parts: readonly Part[];
  readonly #running: RunningBlock;
  readonly #meters: Float64Array | undefined;
  readonly #at: number;
  readonly #trace = { levelDb: [new Float64Array(BLOCK)], gainDb: [new Float64Array(BLOCK)] };
  readonly #side: Side = { trusted: true };

  /** @param meters - meter values, if any are wanted; those of the block stand at `at` */
  constructor(running: RunningBlock, meters: Float64Array | undefined, at: number) {
    const { processor } = running;
    this.format = processor.format;
    this.latencySamples = processor.latencySamples;
    this.takesKey = processor.takesKey;
    this.parts = [processor];
    this.#running = running;
    this.#meters = processor.takesKey ? meters : undefined; // who takes a key has a detector
    this.#at = at;
  }

  get tailSamples(): number {
    return this.#running.processor.tailSamples;
  }

  get nonFiniteInputs(): number {
    return this.#running.processor.nonFiniteInputs;
  }

  get values(): object {
    return this.#running.inner.values;
  }

  get state(): readonly Float64Array[] {
    return this.#running.processor.state;
  }

  reset(): void {
    this.#running.processor.reset();
  }

  check(options: object): void {
    const [bypass, rest] = split(options);
    this.#running.inner.check(rest);
    if (bypass) this.#bypass().check(bypass);
  }

  set(options: object): void {
    this.check(options);
    const [bypass, rest] = split(options);
    this.#running.inner.set(rest);
    if (bypass) this.#bypass().set(bypass);
  }

  /** `side` is of one that works piece by piece: it ends within the first piece. */
  process(input: Channels, output: Channels, side: Side = this.#side): void {
    const meters = this.#meters;
    if (!meters) {
      this.#running.processor.process(input, output, side);
      return;
    }
    const own = this.#side,
      { levelDb, gainDb } = this.#trace;
    const start = side.start ?? 0,
      end = side.end ?? input[0].length;
    own.key = side.key;
    own.start = start;
    own.end = end;
    own.trace = this.#trace;
    this.#running.processor.process(input, output, own);
    for (let i = start, at = this.#at; i < end; i++) {
      if (levelDb[0][i] > meters[at]) meters[at] = levelDb[0][i];
      if (gainDb[0][i] < meters[at + 1]) meters[at + 1] = gainDb[0][i];
    }
  }

  #bypass(): Processor {
    const { bypass } = this.#running;
    if (!bypass) throw new TypeError('bypassed can be set on a block that was made with it only');
    return bypass;
  }
}

function split(options: object): [{ bypassed: unknown } | undefined, object] {
  if (!('bypassed' in options)) return [undefined, options];
  const { bypassed, ...rest } = options;
  return [{ bypassed }, rest];
}
