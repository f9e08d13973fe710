/**
 * Files that are never half written: what is being made has another name until it is done.
 * @module
 */
import { createHash } from 'node:crypto';
import { closeSync, mkdirSync, openSync, readSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';

/** Name that a file has while it is written. */
export function temporaryName(path: string): string {
  return `${path}.${process.pid}.part`;
}

/** Writes a text file as a whole or not at all; makes its folder if need be. */
export function writeText(path: string, text: string): void {
  const temporary = temporaryName(path);
  mkdirSync(dirname(path), { recursive: true });
  try {
    writeFileSync(temporary, text);
    renameSync(temporary, path);
  } catch (error) {
    rmSync(temporary, { force: true });
    throw error;
  }
}

/** SHA-256 of a file's bytes, in hexadecimal. */
export function sha256OfFile(path: string): string {
  const hash = createHash('sha256');
  const bytes = new Uint8Array(1 << 16);
  const file = openSync(path, 'r');
  try {
    for (let count = 1; count > 0;) {
      count = readSync(file, bytes, 0, bytes.length, null);
      hash.update(bytes.subarray(0, count));
    }
  } finally {
    closeSync(file);
  }
  return hash.digest('hex');
}
