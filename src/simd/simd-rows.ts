/**
 * Rows of samples in the module's memory, where kernels find them without a copy, and the way of floats into them and out:
 *
 *     room of 64 doubles     128 floats of one channel
 *     rows                   16 zeros, 128 samples, 16 zeros, 128 samples, ... 16 zeros
 *
 * @module
 */
import { BLOCK, INPUT_LIMIT } from '../core/pieces.ts';
import type { SimdRows } from '../core/simd-kernels.ts';

const BYTES = 8;
const AROUND = 16; // zeros before and behind a row, which the sections need
/** Doubles of a room before its first row. */
export const BEFORE_ROWS = BLOCK / 2 + AROUND;
/** From a row to the next, in bytes. */
export const ROW_BYTES = BYTES * (BLOCK + AROUND);

/** What the module exports for rows; addresses in bytes. */
export interface RowExports {
  readonly memory: { readonly buffer: ArrayBuffer; grow(pages: number): number };
  widen(from: number, to: number, count: number, limit: number): number;
  narrow(from: number, to: number, count: number): void;
}

/** Doubles of the room for some rows. */
export const roomOfRows = (channels: number): number => BEFORE_ROWS + channels * (BLOCK + AROUND);

/** Rows in the room at double `at`. */
export function simdRows(exports: RowExports, at: number, channels: number): SimdRows {
  const { buffer } = exports.memory;
  const floatsAt = BYTES * at,
    rowsAt = BYTES * (at + BEFORE_ROWS);
  const floats = new Float32Array(buffer, floatsAt, BLOCK);
  return {
    rows: Array.from({ length: channels }, (_, c) => new Float64Array(buffer, rowsAt + c * ROW_BYTES, BLOCK)),
    load: (channel, source) => {
      if (!(source instanceof Float32Array)) return false;
      floats.set(source);
      return exports.widen(floatsAt, rowsAt + channel * ROW_BYTES, BLOCK, INPUT_LIMIT) === 1;
    },
    store: (channel, target) => {
      if (!(target instanceof Float32Array)) return false;
      exports.narrow(rowsAt + channel * ROW_BYTES, floatsAt, BLOCK);
      target.set(floats);
      return true;
    },
  };
}
