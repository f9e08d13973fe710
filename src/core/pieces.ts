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

/** Throws unless `start` and `end` are whole numbers in order, of a block of `length` samples. */
export function requirePart(owner: string, length: number, start: number, end: number): void {
  if (start >= 0 && start <= end && end <= length && Number.isInteger(start) && Number.isInteger(end)) return;
  refuse(`${owner}: start and end`, `whole numbers in order, 0 to ${length}`, `${start} and ${end}`);
}

/** A scratch array for every channel; `rows` are those that are there already. */
export function scratch(channels: number, rows: Float64Array[] = []): Float64Array[] {
  while (rows.length < channels) rows.push(new Float64Array(BLOCK));
  return rows;
}

/** Whether the rows are such as {@link scratch} makes, which a kernel may work on. */
export function isScratch(rows: Channels): rows is Float64Array[] {
  return rows.every((row) => row.length === BLOCK && row instanceof Float64Array);
}

/** Rows of {@link BLOCK} samples after each other, the last perhaps shorter: views of longer ones. */
export function cutIntoPieces(rows: readonly Float64Array[]): Float64Array[][] {
  return Array.from({ length: Math.ceil(rows[0].length / BLOCK) }, (_, p) =>
    rows.map((row) => row.subarray(p * BLOCK, (p + 1) * BLOCK)),
  );
}

/**
 * Copies `source[start .. start + count)` to the front of `target`; returns how many samples the guard refused. Four at a
 * time, because an engine looks at an array anew in every turn of a loop; a sum tells whether all of them pass. Where one
 * may not, and for the last few, a second loop goes sample by sample.
 */
export function load(
  source: Float32Array | Float64Array,
  start: number,
  count: number,
  target: Float64Array,
  trusted: boolean,
): number {
  let refused = 0,
    sum = 0,
    i = 0;
  for (; i < count - 3; i += 4) {
    const at = start + i;
    const a = source[at],
      b = source[at + 1],
      c = source[at + 2],
      d = source[at + 3];
    sum += Math.abs(a) + Math.abs(b) + (Math.abs(c) + Math.abs(d));
    target[i] = a;
    target[i + 1] = b;
    target[i + 2] = c;
    target[i + 3] = d;
  }
  if (!(trusted || sum <= INPUT_LIMIT)) i = 0;
  for (; i < count; i++) {
    const x = source[start + i];
    const fine = trusted || Math.abs(x) <= INPUT_LIMIT; // false for NaN, too
    target[i] = fine ? x : 0;
    if (!fine) refused++;
  }
  return refused;
}

/**
 * Copies the front of `source` to `target[start .. start + count)`, which rounds it if `target` is Float32: to the largest
 * finite float32 where it is beyond. Four at a time, as above.
 */
export function store(source: Float64Array, target: Float32Array | Float64Array, start: number, count: number): void {
  const largest = target instanceof Float32Array ? 3.4028234663852886e38 : Infinity;
  let sum = 0,
    i = 0;
  for (; i < count - 3; i += 4) {
    const at = start + i;
    const a = source[i],
      b = source[i + 1],
      c = source[i + 2],
      d = source[i + 3];
    sum += Math.abs(a) + Math.abs(b) + (Math.abs(c) + Math.abs(d));
    target[at] = a;
    target[at + 1] = b;
    target[at + 2] = c;
    target[at + 3] = d;
  }
  if (!(sum <= largest)) i = 0;
  for (; i < count; i++) target[start + i] = Math.max(-largest, Math.min(largest, source[i]));
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
