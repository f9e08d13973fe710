/**
 * Where the worker's script is: it lies in the package as a file of its own.
 * @module
 */
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const NAME = 'mix-worker.cjs';

/** @throws Error if the script is not where the package has it */
export function workerFile(): string {
  // Of the two forms of the package, one has a file name, the other an address.
  const here = dirname(typeof __filename === 'string' ? __filename : fileURLToPath(import.meta.url));
  const found = [join(here, NAME), join(here, '..', NAME)].find((path) => existsSync(path));
  if (found === undefined)
    throw new Error(`${join(here, NAME)}: the script of the threads is missing; mix with one thread`);
  return found;
}
