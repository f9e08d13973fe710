/**
 * Arguments of the command line as values.
 * @module
 */
import { InvalidArgumentError } from 'commander';
import type { Shard } from './mix-batch.ts';

export function shard(text: string): Shard {
  const parts = /^(\d+)\/(\d+)$/.exec(text);
  if (!parts) throw new InvalidArgumentError('must look like 1/4');
  return { index: Number(parts[1]), count: Number(parts[2]) };
}

export function wholeNumber(text: string): number {
  const number = decimal(text);
  if (!Number.isInteger(number)) throw new InvalidArgumentError('must be a whole number');
  return number;
}

export function decimal(text: string): number {
  const number = Number(text);
  if (text.trim() === '' || !Number.isFinite(number)) throw new InvalidArgumentError('must be a number');
  return number;
}
