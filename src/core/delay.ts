/**
 * Delay: y[n] = x[n - D] with D whole samples.
 *
 * The delay is the effect, so the block's latency is 0. A new delay is cross-faded in over 20 ms: the old and the new
 * tap run side by side. One that comes during a cross-fade waits for its end; the latest wins.
 *
 * @module
 */
import { DelayLine } from './delay-line.ts';
import { Glide } from './glide.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from './parameters.ts';
import { BLOCK } from './pieces.ts';
import type { StreamFormat } from './processor.ts';
import { ParameterShell } from './parameter-shell.ts';

/** Parameters of a {@link Delay}. */
export const delayParameters = {
  /** How late the output is. */
  delaySamples: { default: 0, min: 0, max: 4_000_000, integer: true },
  /** Longest delay that can be set; memory is held for it. */
  maximumSamples: { default: 48_000, min: 0, max: 4_000_000, integer: true, fixed: true },
} as const satisfies ParameterTable;

/** Options of {@link Delay}; {@link delayParameters} gives defaults, ranges and units. */
export type DelayOptions = ParameterOptions<typeof delayParameters>;

type Values = ParameterValues<typeof delayParameters>;

/** @throws RangeError if the delay is longer than the memory */
export function requireDelayFits(prefix: string, { delaySamples, maximumSamples }: Values): void {
  if (delaySamples > maximumSamples) {
    throw new RangeError(`${prefix}delaySamples must be 0 to ${maximumSamples} (maximumSamples), got ${delaySamples}`);
  }
}

/**
 * Delays all channels by the same number of samples.
 *
 * @example
 * ```ts
 * import { Delay } from 'batterhead/core';
 *
 * const delay = new Delay({ sampleRateHz: 48000, channels: 1 }, { delaySamples: 2 });
 * const signal = Float32Array.of(1, 2, 3, 4);
 * delay.process([signal], [signal]);
 * console.log(signal.join(', ')); // 0, 0, 1, 2
 * ```
 */
export class Delay extends ParameterShell<typeof delayParameters> {
  readonly #lines: DelayLine[];
  readonly #taps = this.memory(2); // delay that sounds; delay that fades in
  readonly #fade: Glide;
  readonly #incoming = new Float64Array(BLOCK);

  /** @throws RangeError if `delaySamples` is above `maximumSamples` */
  constructor(format: StreamFormat, options: DelayOptions = {}) {
    super('Delay', delayParameters, format, options);
    const { maximumSamples } = this.values;
    this.#lines = Array.from({ length: format.channels }, () => this.own(new DelayLine(maximumSamples)));
    this.#fade = this.own(new Glide([0], format.sampleRateHz));
    this.begin();
  }

  override get tailSamples(): number {
    return this.values.delaySamples;
  }

  protected override requireTogether(values: Values, prefix: string): void {
    requireDelayFits(prefix, values);
  }

  protected override onReset(): void {
    this.#taps.fill(this.values.delaySamples);
  }

  protected override nextPiece(): number {
    return this.#fade.active || this.#taps[0] !== this.values.delaySamples ? 1 : BLOCK;
  }

  protected override advance(x: Float64Array[], count: number): void {
    const taps = this.#taps,
      fade = this.#fade;
    if (!fade.active && taps[0] !== this.values.delaySamples) {
      taps[1] = this.values.delaySamples;
      fade.value[0] = 0;
      fade.start([1]);
    }
    if (fade.active) fade.step();
    const fading = taps[0] !== taps[1];
    for (let c = 0; c < x.length; c++) this.#readInto(x[c], this.#lines[c], count, fading);
    if (!fade.active) taps[0] = taps[1];
  }

  #readInto(y: Float64Array, line: DelayLine, count: number, fading: boolean): void {
    line.write(y, count);
    line.read(y, count, this.#taps[0]);
    if (!fading) return;
    const incoming = this.#incoming,
      weight = this.#fade.value[0];
    line.read(incoming, count, this.#taps[1]);
    for (let i = 0; i < count; i++) y[i] += weight * (incoming[i] - y[i]);
  }
}
