/**
 * Meter values as they cross from the audio thread to the page: one array of numbers.
 *
 *     [ frame, peak in, peak out,  level dB, gain dB of block 0,  level dB, gain dB of block 1, ... ]
 *
 * Peaks (linear), the highest level and the lowest gain are those since the values before.
 *
 * @module
 */

/** How meter values are taken. */
export interface MeterSettings {
  /** Frames between two sets of values. */
  readonly everyFrames: number;
  /** Memory of both threads, if the page may share it: a sequence number, then the values. Messages unless given. */
  readonly shared?: SharedArrayBuffer | undefined;
}

/** Meter values of a block. */
export interface BlockMeters {
  /** What its detector saw at most, dB; -200 for a block without a detector. */
  readonly levelDb: number;
  /** The least gain that it applied, dB; 0 for a block without a detector. */
  readonly gainDb: number;
}

/** Meter values of a chain. */
export interface Meters {
  /** Frame of the context up to which they were taken. */
  readonly frame: number;
  /** Largest magnitude over all channels of the input, linear. */
  readonly peakIn: number;
  /** Largest magnitude over all channels of the output, linear. */
  readonly peakOut: number;
  /** Of each block of the chain. */
  readonly blocks: readonly BlockMeters[];
}

/** Values of a chain before those of its blocks. */
export const CHAIN_HEAD = 3;
/** Values of a block: level and gain. */
export const VALUES_OF_BLOCK = 2;
/** Bytes before the values in shared memory: room for the sequence number, aligned for Float64. */
const HEADER_BYTES = 8;

/** Detector level that stands for silence. */
const SILENT_DB = -200;

/** Length of the values of a chain of so many blocks. */
export function meterLength(blocks: number): number {
  return CHAIN_HEAD + VALUES_OF_BLOCK * blocks;
}

/** The values of `count` blocks, the first of which stand at `index`, with names. */
export function readBlockMeters(values: Float64Array, index: number, count: number): readonly BlockMeters[] {
  return Array.from({ length: count }, (_, b) => {
    const at = index + VALUES_OF_BLOCK * b;
    return { levelDb: values[at], gainDb: values[at + 1] };
  });
}

/** The values of a chain with names. */
export function readMeterValues(values: Float64Array): Meters {
  const blocks = readBlockMeters(values, CHAIN_HEAD, (values.length - CHAIN_HEAD) / VALUES_OF_BLOCK);
  return { frame: values[0], peakIn: values[1], peakOut: values[2], blocks };
}

/** What meters begin with after each set of values. @param head - index of the first value of a block */
export function clearMeters(values: Float64Array, head: number): void {
  values.fill(0);
  for (let at = head; at < values.length; at += VALUES_OF_BLOCK) values[at] = SILENT_DB;
}

/**
 * Values in memory that two threads share. The writer counts the sequence up before and after it writes: a reader that
 * saw an odd or a changed number reads again.
 */
export class SharedMeters {
  readonly #sequence: Int32Array;
  readonly #values: Float64Array;

  constructor(memory: SharedArrayBuffer) {
    this.#sequence = new Int32Array(memory, 0, 1);
    this.#values = new Float64Array(memory, HEADER_BYTES);
  }

  /** Bytes for so many values. */
  static bytes(length: number): number {
    return HEADER_BYTES + Float64Array.BYTES_PER_ELEMENT * length;
  }

  write(values: Float64Array): void {
    Atomics.add(this.#sequence, 0, 1);
    this.#values.set(values);
    Atomics.add(this.#sequence, 0, 1);
  }

  /** Copies the newest values into `into`; false while there are none, or when the writer was busy every time. */
  read(into: Float64Array): boolean {
    for (let attempt = 0; attempt < 8; attempt++) {
      const before = Atomics.load(this.#sequence, 0);
      if (before === 0) return false;
      into.set(this.#values);
      if (before % 2 === 0 && Atomics.load(this.#sequence, 0) === before) return true;
    }
    return false;
  }
}
