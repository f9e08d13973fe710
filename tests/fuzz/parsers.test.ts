import { describe, expect, it } from 'vitest';
import { campaign } from './campaign.ts';
import { parserTargets } from './parser-targets.ts';

/** Inputs for each reader; `npm run fuzz` has many more. */
const INPUTS = 1500;

describe('mutated input', () => {
  it.each(parserTargets)('$name: is read or refused in words, at once and in little memory', (target) => {
    const { accepted, refused, surprises, slowestMs, risenMb } = campaign(target, INPUTS);
    expect(surprises).toEqual([]);
    expect(accepted + refused).toBe(INPUTS);
    if (target.name !== 'messages to a worklet') expect(Math.min(accepted, refused)).toBeGreaterThan(INPUTS / 100);
    expect(slowestMs).toBeLessThan(1000);
    expect(risenMb).toBeLessThan(500);
  });
});
