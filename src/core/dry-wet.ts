/**
 * Dry/wet: cross-fades what a processor made with what came in, delayed by the processor's latency.
 *
 *     y[n] = x[n - latency] + wet (y[n] - x[n - latency])
 *
 * A wet share of 0 is the delayed input bit for bit, one of 1 the processor's output.
 *
 * @module
 */
import { DelayLine } from './delay-line.ts';
import { BLOCK } from './pieces.ts';
import type { Part } from './processor.ts';

/** The dry side of a processor. */
export class DryWet implements Part {
  readonly state: readonly Float64Array[];
  readonly #lines: readonly DelayLine[];
  readonly #latency: number;
  readonly #dry = new Float64Array(BLOCK);

  constructor(channels: number, latencySamples: number) {
    this.#lines = Array.from({ length: channels }, () => new DelayLine(latencySamples));
    this.#latency = latencySamples;
    this.state = this.#lines.flatMap((line) => line.state);
  }

  reset(): void {
    for (const line of this.#lines) line.reset();
  }

  /** Keeps `x[c][0 .. count)`, which the processor is about to change. */
  keep(x: readonly Float64Array[], count: number): void {
    for (let c = 0; c < x.length; c++) this.#lines[c].write(x[c], count);
  }

  /** Turns the processor's output `x[c][0 .. count)` into the mix, in place; the wet share is `k[at]`. */
  mix(x: readonly Float64Array[], count: number, k: Float64Array, at: number): void {
    const wet = k[at];
    const dry = this.#dry;
    if (wet === 1) return;
    for (let c = 0; c < x.length; c++) {
      const y = x[c];
      this.#lines[c].read(dry, count, this.#latency);
      for (let i = 0; i < count; i++) y[i] = wet === 0 ? dry[i] : dry[i] + wet * (y[i] - dry[i]);
    }
  }
}
