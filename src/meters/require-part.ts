/**
 * What every meter asks of the block it is given.
 * @module
 */
import { refuse } from '../core/check.ts';
import { requireShape } from '../core/pieces.ts';
import type { Channels } from '../core/processor.ts';

/** @throws RangeError or TypeError unless there are so many channels of one length, and start and end lie within it */
export function requirePart(owner: string, block: Channels, channels: number, start: number, end: number): void {
  const length = requireShape(owner, 'input', block, channels);
  if (start >= 0 && start <= end && end <= length && Number.isInteger(start) && Number.isInteger(end)) return;
  refuse(`${owner}: start and end`, `whole numbers in order, 0 to ${length}`, `${start} and ${end}`);
}
