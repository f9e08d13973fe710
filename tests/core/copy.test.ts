import { describe, expect, it } from 'vitest';
import { copy } from '../../src/core/copy.ts';
import { noise } from '../support/signals.ts';

describe('copy', () => {
  it('writes what slice and set write, and nothing beside it, for any stretch', () => {
    const from = noise(12, 1);
    for (let at = 0; at < 12; at++) {
      for (let count = 0; count <= 12 - at; count++) {
        for (const place of [0, 5]) {
          const to = noise(20, 2),
            expected = to.slice();
          expected.set(from.slice(at, at + count), place);
          copy(from, at, to, place, count);
          expect(to).toEqual(expected);
        }
      }
    }
  });
});
