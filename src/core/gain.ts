/**
 * Gain: y = g x, with g given in dB.
 * @module
 */
import { dbToGain } from './decibels.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from './parameters.ts';
import type { StreamFormat } from './processor.ts';
import { ParameterShell } from './parameter-shell.ts';

/** Parameters of a {@link Gain}. */
export const gainParameters = {
  /** Amplification; glides in the linear domain. */
  gainDb: { default: 0, min: -120, max: 60 },
} as const satisfies ParameterTable;

/** Options of {@link Gain}; {@link gainParameters} gives defaults, ranges and units. */
export type GainOptions = ParameterOptions<typeof gainParameters>;

/**
 * Turns all channels up or down by the same gain.
 *
 * @example
 * ```ts
 * import { Gain } from 'batterhead/core';
 *
 * const gain = new Gain({ sampleRateHz: 48000, channels: 1 }, { gainDb: -6 });
 * const signal = new Float32Array(480).fill(1);
 * gain.process([signal], [signal]);
 * console.log(signal[0].toFixed(3)); // 0.501
 * ```
 */
export class Gain extends ParameterShell<typeof gainParameters> {
  constructor(format: StreamFormat, options: GainOptions = {}) {
    super('Gain', gainParameters, format, options);
    this.begin();
  }

  protected override design(p: ParameterValues<typeof gainParameters>): readonly number[] {
    return [dbToGain(p.gainDb)];
  }

  protected override advance(x: Float64Array[], count: number): void {
    const gain = this.k[0];
    for (let c = 0; c < x.length; c++) {
      const y = x[c];
      for (let i = 0; i < count; i++) y[i] = gain * y[i];
    }
  }
}
