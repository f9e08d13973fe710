/**
 * Parameter shell: a processor with a table of parameters, and constants that glide.
 *
 * A block turns its parameters into a vector of constants (`design`). After a `set` the vector glides to its new place
 * sample by sample; meanwhile pieces are one sample long, so that a kernel may take its constants as constant.
 *
 * @module
 */
import { Glide } from './glide.ts';
import { type ParameterOptions, type ParameterTable, type ParameterValues, resolveParameters } from './parameters.ts';
import { BLOCK } from './pieces.ts';
import type { StreamFormat } from './processor.ts';
import { Shell } from './shell.ts';

/** A processor but for its kernel and its constants. A subclass ends its constructor with a call of `begin`. */
export abstract class ParameterShell<T extends ParameterTable> extends Shell {
  /** Constants of the kernel at the present sample, in the order that `design` returns them. */
  protected k: Float64Array = new Float64Array(0);
  readonly #table: T;
  #values: ParameterValues<T>;
  #glide!: Glide;

  /** @throws TypeError or RangeError as the table demands */
  constructor(owner: string, table: T, format: StreamFormat, options: ParameterOptions<T>) {
    super(owner, format);
    this.#table = table;
    this.#values = this.#resolve(options);
  }

  /** Parameters as last set. */
  override get values(): ParameterValues<T> {
    return this.#values;
  }

  override check(options: ParameterOptions<T>): void {
    this.#resolve(options, this.#values);
  }

  /** Changes parameters from this sample on; a refused set changes nothing. */
  override set(options: ParameterOptions<T>): void {
    this.#values = this.#resolve(options, this.#values);
    this.#glide.start(this.design(this.#values));
  }

  protected override begin(latencySamples = 0): void {
    this.#glide = this.own(new Glide(this.design(this.#values), this.format.sampleRateHz));
    this.k = this.#glide.value;
    super.begin(latencySamples);
  }

  /** The constants that belong to these parameters; they glide by linear interpolation. */
  protected design(_values: ParameterValues<T>): readonly number[] {
    return [];
  }

  /** Rules between parameters; `prefix` begins the message. Called before a subclass has its fields. @throws RangeError */
  protected requireTogether(_values: ParameterValues<T>, _prefix: string): void {}

  protected override nextPiece(): number {
    if (!this.#glide.active) return BLOCK;
    this.#glide.step();
    return 1;
  }

  #resolve(options: ParameterOptions<T>, current?: ParameterValues<T>): ParameterValues<T> {
    const prefix = `${this.owner}: `;
    const values = resolveParameters(prefix, this.#table, options, this.format.sampleRateHz, current);
    this.requireTogether(values, prefix);
    return values;
  }
}
