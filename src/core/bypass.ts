/**
 * Bypass: a processor that can be switched out without a click and without a shift in time.
 *
 * The processor goes on running while it is bypassed, so that it comes back with the state it would have had; its
 * place is taken by the input delayed by its latency, over a 20 ms cross-fade.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from './parameters.ts';
import { copyRows, scratch } from './pieces.ts';
import type { Processor, Side, Trace } from './processor.ts';
import { Shell } from './shell.ts';

/** Parameters of a {@link Bypass}. */
export const bypassParameters = {
  /** Whether the delayed input is heard instead of the processor. */
  bypassed: { default: false },
} as const satisfies ParameterTable;

export type BypassOptions = ParameterOptions<typeof bypassParameters>;

/** Runs a processor and can cross-fade to its delayed input. */
export class Bypass extends Shell<typeof bypassParameters> {
  readonly #processor: Processor;
  readonly #rows: { levelDb: Float64Array[]; gainDb: Float64Array[] };
  readonly #side: Side = { start: 0, trusted: true };

  /** @param processor - becomes the bypass's own: nobody else should run it */
  constructor(processor: Processor, options: BypassOptions = {}) {
    super('Bypass', bypassParameters, processor.format, options, processor.keyChannels);
    this.#processor = this.ownProcessor(processor);
    const { channels } = processor.format;
    this.#rows = { levelDb: scratch(channels), gainDb: scratch(channels) };
    this.begin(processor.latencySamples, 0);
  }

  override get tailSamples(): number {
    return this.#processor.tailSamples;
  }

  protected override design(p: ParameterValues<typeof bypassParameters>): readonly number[] {
    return [p.bypassed ? 0 : 1];
  }

  protected override advance(x: readonly Float64Array[], key: readonly Float64Array[], count: number): void {
    const side = this.#side;
    side.key = key === x ? undefined : (key as Float64Array[]);
    side.trace = this.traced ? this.#rows : undefined;
    side.end = count;
    this.#processor.process(x as Float64Array[], x as Float64Array[], side);
  }

  protected override writeTrace(trace: Trace, at: number, count: number): void {
    copyRows(this.#rows.levelDb, trace.levelDb, at, count);
    copyRows(this.#rows.gainDb, trace.gainDb, at, count);
  }
}
