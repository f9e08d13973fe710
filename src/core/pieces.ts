/**
 * Pieces: kernels work on at most {@link BLOCK} samples at a time, in Float64 scratch, whatever arrays the caller has.
 * Samples pass the guard on their way in and are rounded to the caller's arrays on their way out.
 *
 * @module
 */
import type { Channels, StreamFormat } from './processor.ts';
import { refuse, requireInteger, requireRange } from './check.ts';

/** Samples a kernel handles at a time: the render quantum of the Web Audio API, so a worklet's block is one piece. */
export const BLOCK = 128;

/** An input above this magnitude is a fault upstream, and counts as 0: +120 dBFS. */
export const INPUT_LIMIT = 1e6;

/** Returns a copy of `format`, or throws unless it can be processed. */
export function requireFormat(owner: string, format: Partial<StreamFormat> | null | undefined): StreamFormat {
  const { sampleRateHz, channels } = format ?? {};
  return {
    sampleRateHz: requireRange(`${owner}: sampleRateHz`, sampleRateHz, 8000, 384000),
    channels: requireInteger(`${owner}: channels`, channels, 1, 64),
  };
}

/**
 * Returns the length of the arrays of `block`, or throws unless there are `channels` of them, all of that length and, if
 * given, of `length`.
 */
export function requireShape(owner: string, name: string, block: Channels, channels: number, length?: number): number {
  if (block.length !== channels) {
    throw new RangeError(`${owner}: ${name} must have ${channels} channels, got ${block.length}`);
  }
  for (let c = 0; c < channels; c++) {
    const x: unknown = block[c];
    if (!(x instanceof Float64Array || x instanceof Float32Array)) {
      refuse(`${owner}: ${name}[${c}]`, 'a Float32Array or a Float64Array', typeof x, TypeError);
    }
    length ??= x.length;
    if (x.length !== length) refuse(`${owner}: ${name}[${c}].length`, `${length}`, x.length);
  }
  return length ?? 0;
}

/** A scratch array for every channel. */
export function scratch(channels: number): Float64Array[] {
  return Array.from({ length: channels }, () => new Float64Array(BLOCK));
}

/** Copies `source[start .. start + count)` to the front of `target`; returns how many samples the guard refused. */
export function load(
  source: Float32Array | Float64Array,
  start: number,
  count: number,
  target: Float64Array,
  trusted: boolean,
): number {
  let refused = 0;
  for (let i = 0; i < count; i++) {
    const x = source[start + i];
    const fine = trusted || Math.abs(x) <= INPUT_LIMIT; // false for NaN, too
    target[i] = fine ? x : 0;
    if (!fine) refused++;
  }
  return refused;
}

/**
 * Copies the front of `source` to `target[start .. start + count)`, which rounds it if `target` is Float32: to the largest
 * finite float32 where it is beyond. (That number is written out, because a module's constant would box every sample.)
 */
export function store(source: Float64Array, target: Float32Array | Float64Array, start: number, count: number): void {
  const narrow = target instanceof Float32Array;
  for (let i = 0; i < count; i++) {
    const y = source[i];
    const beyond = narrow && Math.abs(y) > 3.4028234663852886e38;
    target[start + i] = beyond ? (y > 0 ? 3.4028234663852886e38 : -3.4028234663852886e38) : y;
  }
}

/** Copies the front of the rows to `target[c][start ..)`; where there is one row for all, every target gets it. */
export function copyRows(
  rows: readonly Float64Array[],
  target: Channels | undefined,
  start: number,
  count: number,
): void {
  if (!target) return;
  for (let c = 0; c < target.length; c++) store(rows[c < rows.length ? c : 0], target[c], start, count);
}
