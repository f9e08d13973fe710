import { describe, expect, it } from 'vitest';
import { AllpassChain } from '../../src/reverb/allpass-chain.ts';
import { Allpass } from '../../src/reverb/allpass.ts';
import { firstDifference, noise } from '../support/signals.ts';

const delays = [97, 61, 41, 23, 7];
const gains = [0.7, 0.65, -0.5, 0.6, 0.3];
const k = Float64Array.from([9, 9, ...gains]);

/** What a chain makes of a signal in pieces of a length that divides nothing. */
function chained(chain: AllpassChain, x: Float64Array): Float64Array {
  const y = x.slice();
  for (let at = 0; at < y.length; at += 101) {
    const part = y.subarray(at, at + 101);
    chain.process(part, part.length, k, 2);
  }
  return y;
}

describe('AllpassChain', () => {
  it('is five allpasses one after the other', () => {
    const expected = noise(2000, 3);
    delays.forEach((delay, j) => {
      new Allpass(delay).process(expected, 2000, gains[j]);
    });
    expect(firstDifference(chained(new AllpassChain(delays), noise(2000, 3)), expected)).toBe(-1);
  });

  it('has rings of one sample, too', () => {
    const expected = noise(50, 3);
    for (const gain of gains) new Allpass(1).process(expected, 50, gain);
    expect(firstDifference(chained(new AllpassChain([1, 1, 1, 1, 1]), noise(50, 3)), expected)).toBe(-1);
  });

  it('reset() equals a new one', () => {
    const chain = new AllpassChain(delays);
    chained(chain, noise(300, 1));
    chain.reset();
    expect(firstDifference(chained(chain, noise(300)), chained(new AllpassChain(delays), noise(300)))).toBe(-1);
  });
});
