import { expect, it } from 'vitest';
import { ringsEndToEnd } from '../../src/reverb/rings.ts';

it('ringsEndToEnd() gives every ring a place of its own in one array', () => {
  const { rings, starts, views } = ringsEndToEnd([3, 1, 4]);
  expect(starts).toEqual([0, 3, 4, 8]);
  views.forEach((view, r) => view.fill(r + 1));
  expect([...rings]).toEqual([1, 1, 1, 2, 3, 3, 3, 3]);
});
