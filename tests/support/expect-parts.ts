/** Which parts of a block, `start` to `end` of its 8 samples, may be processed, whatever processes them. */
import { expect } from 'vitest';

const WRONG = [
  [-1, 4],
  [5, 4],
  [0, 9],
  [0.5, 4],
  [0, 4.5],
  [0.5, 4.5],
  [NaN, 4],
] as const;

/** @param process - takes a block of 8 samples in; `owner` is its name in errors */
export function expectParts(owner: string, process: (start: number, end: number) => void): void {
  for (const [start, end] of WRONG) {
    expect(() => {
      process(start, end);
    }).toThrow(`${owner}: start and end must be whole numbers in order, 0 to 8, got "${start} and ${end}"`);
  }
  process(3, 3);
  process(0, 8);
}
