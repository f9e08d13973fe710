/**
 * Pieces: kernels work on at most {@link BLOCK} samples at a time, in Float64 scratch, whatever arrays the caller has.
 * Samples pass the guard on their way in and are rounded to the caller's arrays on their way out.
 *
 * @module
 */
import { describe } from './parameters.ts';
import type { Channels, StreamFormat } from './processor.ts';
import { requireInteger, requireRange } from './check.ts';

/** Samples a kernel handles at a time: the render quantum of the Web Audio API, so a worklet's block is one piece. */
export const BLOCK = 128;

/** An input above this magnitude is a fault upstream, and counts as 0: +120 dBFS. */
export const INPUT_LIMIT = 1e6;

/** Largest finite float32. */
const FLOAT32_MAX = 3.4028234663852886e38;

/** Returns `format`, or throws unless it can be processed. */
export function requireFormat(owner: string, format: StreamFormat): StreamFormat {
  if (typeof format !== 'object' || format === null) {
    throw new TypeError(`${owner}: format must be { sampleRateHz, channels }, got ${describe(format)}`);
  }
  requireRange(`${owner}: sampleRateHz`, format.sampleRateHz, 8000, 384000);
  requireInteger(`${owner}: channels`, format.channels, 1, 64);
  return { sampleRateHz: format.sampleRateHz, channels: format.channels };
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
      throw new TypeError(`${owner}: ${name}[${c}] must be a Float32Array or a Float64Array`);
    }
    length ??= x.length;
    if (x.length !== length) throw new RangeError(`${owner}: ${name}[${c}].length must be ${length}, got ${x.length}`);
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
    target[i] = x;
    if (!(Math.abs(x) <= INPUT_LIMIT) && !trusted) {
      target[i] = 0; // the comparison is false for NaN, too
      refused++;
    }
  }
  return refused;
}

/** Copies the front of `source` to `target[start .. start + count)`, which rounds it if `target` is Float32. */
export function store(source: Float64Array, target: Float32Array | Float64Array, start: number, count: number): void {
  if (target instanceof Float64Array) {
    for (let i = 0; i < count; i++) target[start + i] = source[i];
    return;
  }
  for (let i = 0; i < count; i++) {
    const y = source[i];
    target[start + i] = Math.abs(y) <= FLOAT32_MAX ? y : y > 0 ? FLOAT32_MAX : -FLOAT32_MAX;
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
