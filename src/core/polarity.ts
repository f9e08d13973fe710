/**
 * Polarity: y = x or y = -x. Turning it over glides through silence.
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from './parameters.ts';
import type { StreamFormat } from './processor.ts';
import { ParameterShell } from './parameter-shell.ts';

/** Parameters of a {@link Polarity}. */
export const polarityParameters = {
  /** Whether the signal is turned upside down. */
  inverted: { default: false },
} as const satisfies ParameterTable;

/** Options of {@link Polarity}; {@link polarityParameters} gives defaults, ranges and units. */
export type PolarityOptions = ParameterOptions<typeof polarityParameters>;

/**
 * Keeps or inverts the sign of all channels.
 *
 * @example
 * ```ts
 * import { Polarity } from 'batterhead/core';
 *
 * const polarity = new Polarity({ sampleRateHz: 48000, channels: 1 }, { inverted: true });
 * const signal = Float32Array.of(1, -0.5);
 * polarity.process([signal], [signal]);
 * console.log(signal.join(', ')); // -1, 0.5
 * ```
 */
export class Polarity extends ParameterShell<typeof polarityParameters> {
  constructor(format: StreamFormat, options: PolarityOptions = {}) {
    super('Polarity', polarityParameters, format, options);
    this.begin();
  }

  protected override design(p: ParameterValues<typeof polarityParameters>): readonly number[] {
    return [p.inverted ? -1 : 1];
  }

  protected override advance(x: Float64Array[], count: number): void {
    const sign = this.k[0];
    for (let c = 0; c < x.length; c++) {
      const y = x[c];
      for (let i = 0; i < count; i++) y[i] = sign * y[i];
    }
  }
}
