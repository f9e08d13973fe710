/**
 * Files that are never half written: what is being made has another name until it is done.
 * @module
 */
import { createHash } from 'node:crypto';
import { closeSync, linkSync, mkdirSync, openSync, readSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';

/** Name that a file has while it is written. */
export function temporaryName(path: string): string {
  return `${path}.${process.pid}.part`;
}

/** Whether a file name is one that {@link temporaryName} gives. */
export function isTemporary(name: string): boolean {
  return /\.\d+\.part$/.test(name);
}

/** Does something to a file that is written; where the system refuses it, names the file as it will be called. */
export function writing<R>(path: string, run: () => R): R {
  try {
    return run();
  } catch (error) {
    if (!(error instanceof Error && 'syscall' in error)) throw error;
    const name = path.replace(/(\.\d+\.part)+$/, '');
    throw new Error(`${name} cannot be written: ${error.message}`, { cause: error });
  }
}

/** Does something to a file that is read; where the system refuses it, names the file. */
export function reading<R>(path: string, run: () => R): R {
  try {
    return run();
  } catch (error) {
    if (!(error instanceof Error && 'syscall' in error)) throw error;
    throw new Error(`${path} cannot be read: ${error.message}`, { cause: error });
  }
}

/** Removes a file, if it can be: when something has gone wrong, that is what shall be told. */
export function remove(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch {
    // A file under its temporary name remains, where anybody can see that it is not whole.
  }
}

/** Writes a file as a whole or not at all; makes its folder if need be. */
export function writeWhole(path: string, content: string | Uint8Array): void {
  const temporary = temporaryName(path);
  try {
    writing(path, () => {
      mkdirSync(dirname(path), { recursive: true });
      writeFileSync(temporary, content);
      renameSync(temporary, path);
    });
  } catch (error) {
    remove(temporary);
    throw error;
  }
}

/**
 * Writes a file as a whole, and never over another one.
 *
 * @throws RangeError if there is a file of that name, even if it came into being a moment ago
 */
export function writeNew(path: string, content: string | Uint8Array): void {
  const temporary = temporaryName(path);
  mkdirSync(dirname(path), { recursive: true });
  try {
    writeFileSync(temporary, content);
    linkSync(temporary, path); // unlike a renaming, this fails where there is something
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') {
      throw new RangeError(`${path} is there already`, { cause: error });
    }
    throw error;
  } finally {
    remove(temporary);
  }
}

/** Files that belong together: each has another name until all are whole. */
export class StagedFiles {
  readonly #paths: string[] = [];

  /** Adds a file; returns the name under which it is to be written. */
  add(path: string): string {
    this.#paths.push(path);
    return temporaryName(path);
  }

  /**
   * Gives all files their names, in the order in which they were added. The last one vouches for the others: its predecessor
   * goes first, so that where there is one, all files are those that it speaks of, whenever the program is killed.
   */
  publish(): void {
    const last = this.#paths.at(-1);
    if (last !== undefined)
      writing(last, () => {
        rmSync(last, { force: true });
      });
    for (const path of this.#paths)
      writing(path, () => {
        renameSync(temporaryName(path), path);
      });
  }

  /** Removes what has no name yet. */
  discard(): void {
    for (const path of this.#paths) remove(temporaryName(path));
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
