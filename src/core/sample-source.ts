/**
 * A mono signal that can be read again, at any position and in any order: a recording too long for memory, or an array.
 *
 * @module
 */

/** A signal of `frames` samples, preceded and followed by silence. */
export interface SampleSource {
  /** Samples per channel. */
  readonly frames: number;
  /** Fills `into` with the samples from `start` on, which may lie before the first or after the last: 0 there. */
  read(start: number, into: Float64Array): void;
}

/** Samples in memory. */
export type Samples = Float32Array | Float64Array;

/** An array as a source. */
export function sourceOf(samples: Samples): SampleSource {
  return {
    frames: samples.length,
    read(start, into) {
      into.fill(0);
      const first = Math.max(0, start);
      const last = Math.min(samples.length, start + into.length);
      if (last > first) into.set(samples.subarray(first, last), first - start);
    },
  };
}
