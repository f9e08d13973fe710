/**
 * Fractional delay: y(t) = x(t - D) for D samples, whole or not.
 *
 * The level is flat within 0.05 dB, and the group delay within 1e-4 sample, up to 20/48 of the sample rate; above, towards
 * half the rate, no filter can delay by a fraction. There and back again, a signal within that band differs from the
 * original by less than -120 dB. A whole delay is exact to the bit.
 *
 * The latency of 47 samples is the kernel's; the delay comes on top of it, being the effect. A new delay is cross-faded in
 * over 20 ms: the old and the new tap run side by side. One that comes during a cross-fade waits for its end; the latest
 * wins. See `fractional-kernel.ts` for the kernel.
 *
 * @module
 */
import { DelayLine } from '../core/delay-line.ts';
import { requireDelayFits } from '../core/delay.ts';
import { Glide } from '../core/glide.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { FRACTIONAL_LATENCY_SAMPLES, FRACTIONAL_TAPS } from './fractional-kernel.ts';
import { FractionalTap } from './fractional-tap.ts';

/** Parameters of a {@link FractionalDelay}. */
export const fractionalDelayParameters = {
  /** How late the output is, besides the latency. */
  delaySamples: { default: 0, min: 0, max: 4_000_000 },
  /** Longest delay that can be set; memory is held for it. */
  maximumSamples: { default: 48_000, min: 0, max: 4_000_000, integer: true, fixed: true },
} as const satisfies ParameterTable;

/** Options of {@link FractionalDelay}; {@link fractionalDelayParameters} gives defaults, ranges and units. */
export type FractionalDelayOptions = ParameterOptions<typeof fractionalDelayParameters>;

/**
 * Delays all channels by the same number of samples and a fraction.
 *
 * @example
 * ```ts
 * import { FractionalDelay } from 'batterhead/filters';
 *
 * const later = new FractionalDelay({ sampleRateHz: 48000, channels: 1 }, { delaySamples: 12.5 });
 * const signal = new Float64Array(1024);
 * signal[0] = 1;
 * later.process([signal], [signal]);
 * console.log(later.latencySamples); // the whole part of its kernel; the delay comes on top
 * ```
 */
export class FractionalDelay extends ParameterShell<typeof fractionalDelayParameters> {
  readonly #lines: DelayLine[];
  readonly #sounding = this.own(new FractionalTap());
  readonly #incoming = this.own(new FractionalTap());
  readonly #wanted = this.own(new FractionalTap()); // as set last, waiting for a running fade to end
  readonly #fade: Glide;
  readonly #faded = new Float64Array(BLOCK);

  /** @throws RangeError if `delaySamples` is above `maximumSamples` */
  constructor(format: StreamFormat, options: FractionalDelayOptions = {}) {
    super('FractionalDelay', fractionalDelayParameters, format, options);
    const reach = this.values.maximumSamples + FRACTIONAL_TAPS;
    this.#lines = Array.from({ length: this.format.channels }, () => this.own(new DelayLine(reach)));
    this.#fade = this.own(new Glide([0], this.format.sampleRateHz));
    this.begin(FRACTIONAL_LATENCY_SAMPLES);
  }

  override get tailSamples(): number {
    return Math.floor(this.values.delaySamples) + FRACTIONAL_TAPS / 2;
  }

  override set(options: FractionalDelayOptions): void {
    super.set(options);
    this.#wanted.tune(this.values.delaySamples);
  }

  protected override requireTogether(values: ParameterValues<typeof fractionalDelayParameters>, prefix: string): void {
    requireDelayFits(prefix, values);
  }

  protected override onReset(): void {
    this.#wanted.tune(this.values.delaySamples);
    this.#sounding.copy(this.#wanted);
    this.#incoming.copy(this.#wanted);
  }

  protected override nextPiece(): number {
    return this.#fade.active || this.#sounding.delaySamples !== this.#wanted.delaySamples ? 1 : BLOCK;
  }

  protected override advance(x: Float64Array[], count: number): void {
    const fade = this.#fade,
      sounding = this.#sounding,
      incoming = this.#incoming;
    if (!fade.active && sounding.delaySamples !== this.#wanted.delaySamples) {
      incoming.copy(this.#wanted);
      fade.value[0] = 0;
      fade.start([1]);
    }
    const fading = fade.active;
    if (fading) fade.step();
    for (let c = 0; c < x.length; c++) {
      this.#lines[c].write(x[c], count);
      sounding.read(this.#lines[c], x[c], count);
      if (fading) this.#mixIncoming(x[c], this.#lines[c], count);
    }
    if (fading && !fade.active) sounding.copy(incoming);
  }

  #mixIncoming(y: Float64Array, line: DelayLine, count: number): void {
    const faded = this.#faded,
      weight = this.#fade.value[0];
    this.#incoming.read(line, faded, count);
    for (let i = 0; i < count; i++) y[i] += weight * (faded[i] - y[i]);
  }
}
