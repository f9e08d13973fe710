/**
 * Bypass: a processor that can be switched out without a click and without a shift in time.
 *
 * The processor goes on running while it is bypassed, so that it comes back with the state it would have had; its
 * place is taken by the input delayed by its latency, over a 20 ms cross-fade.
 *
 * @module
 */
import { DryWet } from './dry-wet.ts';
import { KeyInput } from './key-input.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from './parameters.ts';
import { ParameterShell } from './parameter-shell.ts';
import { copyRows, scratch } from './pieces.ts';
import type { Processor, Side } from './processor.ts';

/** Parameters of a {@link Bypass}. */
export const bypassParameters = {
  /** Whether the delayed input is heard instead of the processor. */
  bypassed: { default: false },
} as const satisfies ParameterTable;

/** Options of {@link Bypass}; {@link bypassParameters} gives defaults, ranges and units. */
export type BypassOptions = ParameterOptions<typeof bypassParameters>;

/**
 * Runs a processor and can cross-fade to its delayed input.
 *
 * @example
 * ```ts
 * import { Bypass } from 'batterhead/core';
 * import { Limiter } from 'batterhead/dynamics';
 *
 * const limiter = new Bypass(new Limiter({ sampleRateHz: 48000, channels: 1 }), { bypassed: true });
 * const signal = new Float32Array(512);
 * limiter.process([signal], [signal]);
 * limiter.set({ bypassed: false }); // fades, in time: both ways have the limiter's latency
 * ```
 */
export class Bypass extends ParameterShell<typeof bypassParameters> {
  readonly #processor: Processor;
  readonly #dryWet: DryWet;
  readonly #key = new KeyInput();
  readonly #rows: { levelDb: Float64Array[]; gainDb: Float64Array[] };
  readonly #side: Side = { start: 0, trusted: true };

  /** @param processor - becomes the bypass's own: nobody else should run it */
  constructor(processor: Processor, options: BypassOptions = {}) {
    const { format, latencySamples } = processor;
    super('Bypass', bypassParameters, format, options);
    this.#processor = this.own(processor);
    this.#dryWet = this.own(new DryWet(format.channels, latencySamples));
    this.#rows = { levelDb: scratch(format.channels), gainDb: scratch(format.channels) };
    this.begin(latencySamples);
  }

  override get takesKey(): boolean {
    return this.#processor.takesKey;
  }

  override get tailSamples(): number {
    return this.#processor.tailSamples;
  }

  protected override design(p: ParameterValues<typeof bypassParameters>): readonly number[] {
    return [p.bypassed ? 0 : 1];
  }

  protected override enter(side: Side, length: number): void {
    if (!this.takesKey) super.enter(side, length);
    else if (side.key) this.#key.expect(this.owner, side.key, length);
  }

  protected override advance(
    x: Float64Array[],
    count: number,
    { key, trace, trusted = false }: Side,
    at: number,
  ): void {
    const side = this.#side,
      rows = this.#rows;
    if (key) this.countRefused(this.#key.load(key, at, count, trusted));
    side.key = key && this.#key.rows;
    side.trace = trace && rows;
    side.end = count;
    this.#dryWet.keep(x, count);
    this.#processor.process(x, x, side);
    this.#dryWet.mix(x, count, this.k, 0);
    copyRows(rows.levelDb, trace?.levelDb, at, count);
    copyRows(rows.gainDb, trace?.gainDb, at, count);
  }
}
