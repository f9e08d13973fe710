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

/** Meter values of a chain. */
export interface Meters {
  /** Frame of the context up to which they were taken. */
  readonly frame: number;
  /** Largest magnitude over all channels of the input, linear. */
  readonly peakIn: number;
  /** Largest magnitude over all channels of the output, linear. */
  readonly peakOut: number;
  /** Of each block; one without a detector stays at -200 and 0. */
  readonly blocks: readonly {
    /** What its detector saw at most, dB. */
    readonly levelDb: number;
    /** The least gain it applied, dB. */
    readonly gainDb: number;
  }[];
}

const HEAD = 3;
/** Bytes before the values in shared memory: room for the sequence number, aligned for Float64. */
const HEADER_BYTES = 8;

/** Detector level that stands for silence. */
export const SILENT_DB = -200;

/** Length of the values of a chain of so many blocks. */
export function meterLength(blocks: number): number {
  return HEAD + 2 * blocks;
}

/** Index of the level of a block; its gain comes next. */
export function meterIndex(block: number): number {
  return HEAD + 2 * block;
}

/** The values with names. */
export function readMeterValues(values: Float64Array): Meters {
  const blocks = Array.from({ length: (values.length - HEAD) / 2 }, (_, b) => {
    const at = meterIndex(b);
    return { levelDb: values[at], gainDb: values[at + 1] };
  });
  return { frame: values[0], peakIn: values[1], peakOut: values[2], blocks };
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

  /** Bytes for the values of a chain of so many blocks. */
  static bytes(blocks: number): number {
    return HEADER_BYTES + Float64Array.BYTES_PER_ELEMENT * meterLength(blocks);
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
