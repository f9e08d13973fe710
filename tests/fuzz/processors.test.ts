import { describe, expect, it } from 'vitest';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { processorCases } from './processor-cases.ts';

/** Cases for each processor; `npm run fuzz` has many more. */
const CASES = 40;

describe('any parameters, signal, cut and sample rate', () => {
  it.each(Object.keys(blockTypes))(
    '%s: what comes out is finite, and the same for any cut and after a reset',
    (name) => {
      expect(processorCases(name, CASES).surprises).toEqual([]);
    },
  );
});
