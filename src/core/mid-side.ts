/**
 * Mid/side: the sum and the difference of two channels, and back.
 *
 *     encode   mid = (left + right) / 2     side = (left - right) / 2
 *     decode   left = mid + side            right = mid - side
 *
 * @module
 */
import type { ParameterOptions, ParameterTable } from './parameters.ts';
import { requireInteger } from './check.ts';
import type { StreamFormat } from './processor.ts';
import { ParameterShell } from './parameter-shell.ts';

/** Parameters of a {@link MidSide}. */
export const midSideParameters = {
  /** From left and right to mid and side, or back. */
  direction: { default: 'encode', choices: ['encode', 'decode'], fixed: true },
} as const satisfies ParameterTable;

/** Options of {@link MidSide}; {@link midSideParameters} gives defaults, ranges and units. */
export type MidSideOptions = ParameterOptions<typeof midSideParameters>;

/**
 * Turns left and right into mid and side, or back. Two channels only.
 *
 * @example
 * ```ts
 * import { MidSide } from 'batterhead/core';
 *
 * const encoder = new MidSide({ sampleRateHz: 48000, channels: 2 }, { direction: 'encode' });
 * const [left, right] = [Float32Array.of(0.5), Float32Array.of(0.5)];
 * encoder.process([left, right], [left, right]);
 * console.log(right[0]); // 0: both channels are alike
 * ```
 */
export class MidSide extends ParameterShell<typeof midSideParameters> {
  readonly #scale: number;

  /** @throws RangeError unless there are two channels */
  constructor(format: StreamFormat, options: MidSideOptions = {}) {
    super('MidSide', midSideParameters, format, options);
    requireInteger('MidSide: channels', format.channels, 2, 2);
    this.#scale = this.values.direction === 'encode' ? 0.5 : 1;
    this.begin();
  }

  protected override advance(x: Float64Array[], count: number): void {
    const first = x[0],
      second = x[1],
      scale = this.#scale;
    for (let i = 0; i < count; i++) {
      const a = first[i],
        b = second[i];
      first[i] = scale * (a + b);
      second[i] = scale * (a - b);
    }
  }
}
