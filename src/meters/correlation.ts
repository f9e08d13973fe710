/**
 * Phase correlation: how alike two channels move.
 *
 *     r = sum a b / sqrt( sum a^2 sum b^2 )        1 the same, 0 nothing in common, -1 opposite: nothing left in mono
 *
 * Pearson's coefficient without taking out the means: a sound has none.
 *
 * @module
 */
import { BLOCK, load, requireFormat, requirePart, requireShape } from '../core/pieces.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';

/** Measures the correlation of the two channels of a stream. */
export class CorrelationMeter {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  readonly #a = new Float64Array(BLOCK);
  readonly #b = new Float64Array(BLOCK);
  readonly #sums = new Float64Array(3); // a a, b b, a b

  /** @throws RangeError unless there are two channels */
  constructor(format: StreamFormat) {
    this.format = requireFormat('CorrelationMeter', format);
    if (format.channels !== 2) throw new RangeError(`CorrelationMeter: channels must be 2, got ${format.channels}`);
  }

  /** Takes in `channels[c][start .. end)`: all of the arrays unless given. Samples that are not finite count as 0. */
  process(channels: Channels, start = 0, end: number = channels[0]?.length ?? 0): void {
    requirePart('CorrelationMeter', requireShape('CorrelationMeter', 'input', channels, 2), start, end);
    for (let at = start; at < end; at += BLOCK) {
      const count = Math.min(BLOCK, end - at);
      load(channels[0], at, count, this.#a, false);
      load(channels[1], at, count, this.#b, false);
      addProducts(this.#a, this.#b, count, this.#sums);
    }
  }

  /** -1 to 1; null if one of the channels is silent. */
  get correlation(): number | null {
    return correlationOf(this.#sums[0], this.#sums[1], this.#sums[2]);
  }

  /** Equal to a new meter. */
  reset(): void {
    this.#sums.fill(0);
  }
}

/** Correlation of two signals of one length, -1 to 1; null if one of them is silent. */
export function correlation(a: Float32Array | Float64Array, b: Float32Array | Float64Array): number | null {
  const meter = new CorrelationMeter({ sampleRateHz: 48000, channels: 2 }); // the rate does not matter
  meter.process([a, b] as Channels);
  return meter.correlation;
}

/** The coefficient from its sums; null if one of the powers is 0. */
export function correlationOf(powerOfA: number, powerOfB: number, product: number): number | null {
  const size = Math.sqrt(powerOfA) * Math.sqrt(powerOfB);
  return size > 0 ? Math.max(-1, Math.min(1, product / size)) : null; // rounding can pass 1
}

function addProducts(a: Float64Array, b: Float64Array, count: number, sums: Float64Array): void {
  let aa = sums[0],
    bb = sums[1],
    ab = sums[2];
  for (let i = 0; i < count; i++) {
    aa += a[i] * a[i];
    bb += b[i] * b[i];
    ab += a[i] * b[i];
  }
  sums[0] = aa;
  sums[1] = bb;
  sums[2] = ab;
}
