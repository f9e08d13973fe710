/**
 * Mono below: makes two channels alike below a frequency and leaves their difference above it.
 *
 *     mid  = (left + right) / 2 -> allpass -+-> mid + side, mid - side
 *     side = (left - right) / 2 -> highpass +
 *
 * Both filters are those of a Linkwitz-Riley crossover of order 4: this is the split of each channel into lows and highs, with
 * the mean of the lows in both channels. The sum of the channels passes an all-pass alone: flat at every frequency. A new
 * frequency is cross-faded in over 20 ms.
 *
 * Source: S. H. Linkwitz, "Active Crossover Networks for Noncoincident Drivers", JAES 24(1), 1976 (from memory).
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable } from '../core/parameters.ts';
import type { Side, StreamFormat } from '../core/processor.ts';
import { BiquadCascade } from './biquad-cascade.ts';
import { allpass } from './biquad-design.ts';
import { linkwitzRiley } from './crossover.ts';

/** Parameters of a {@link MonoBelow}. */
export const monoBelowParameters = {
  /** Where the side has -6 dB; it falls by 24 dB/octave below. */
  frequencyHz: { default: 120, min: 10, max: 'nyquist', taper: 'log' },
} as const satisfies ParameterTable;

/** Options of {@link MonoBelow}; {@link monoBelowParameters} gives defaults, ranges and units. */
export type MonoBelowOptions = ParameterOptions<typeof monoBelowParameters>;

/**
 * Removes the difference of two channels below a frequency. Two channels only.
 *
 * @example
 * ```ts
 * import { MonoBelow } from 'batterhead/filters';
 *
 * const lows = new MonoBelow({ sampleRateHz: 48000, channels: 2 }, { frequencyHz: 120 });
 * const [left, right] = [new Float32Array(512).fill(0.5), new Float32Array(512)];
 * lows.process([left, right], [left, right]);
 * ```
 */
export class MonoBelow extends ParameterShell<typeof monoBelowParameters> {
  readonly #mid: BiquadCascade;
  readonly #side: BiquadCascade;
  readonly #mids: Float64Array[] = [];
  readonly #sides: Float64Array[] = [];
  readonly #piece: Side = { trusted: true };

  /** @throws RangeError unless there are two channels, or for a frequency that {@link monoBelowParameters} does not allow */
  constructor(format: StreamFormat, options: MonoBelowOptions = {}) {
    super('MonoBelow', monoBelowParameters, format, options);
    requireInteger('MonoBelow: channels', format.channels, 2, 2);
    const mono = { sampleRateHz: format.sampleRateHz, channels: 1 };
    const corner = this.#corner();
    this.#mid = this.own(new BiquadCascade(mono, [allpass(corner)]));
    this.#side = this.own(new BiquadCascade(mono, linkwitzRiley(corner).highpass));
    this.begin();
  }

  override get tailSamples(): number {
    return Math.max(this.#mid.tailSamples, this.#side.tailSamples);
  }

  override set(options: MonoBelowOptions): void {
    const { frequencyHz } = this.values;
    super.set(options);
    if (this.values.frequencyHz === frequencyHz) return;
    const corner = this.#corner();
    this.#mid.setSections([allpass(corner)]);
    this.#side.setSections(linkwitzRiley(corner).highpass);
  }

  protected override advance(x: Float64Array[], count: number): void {
    const left = x[0],
      right = x[1],
      mid = this.#mids,
      side = this.#sides;
    mid[0] = left;
    side[0] = right;
    for (let i = 0; i < count; i++) {
      const l = left[i],
        r = right[i];
      left[i] = (l + r) / 2;
      right[i] = (l - r) / 2;
    }
    this.#piece.end = count;
    this.#mid.process(mid, mid, this.#piece);
    this.#side.process(side, side, this.#piece);
    for (let i = 0; i < count; i++) {
      const m = left[i],
        s = right[i];
      left[i] = m + s;
      right[i] = m - s;
    }
  }

  #corner(): { sampleRateHz: number; frequencyHz: number; order: number } {
    return { sampleRateHz: this.format.sampleRateHz, frequencyHz: this.values.frequencyHz, order: 4 };
  }
}
