import { describe, expect, it } from 'vitest';
import { Diffuser } from '../../src/reverb/diffuser.ts';
import { nextPrime } from '../../src/reverb/primes.ts';
import { allpassByFormula } from '../support/allpass-by-formula.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

const RATE = 8000;
const delaysOf = (channel: number): number[] =>
  [0, 1, 2, 3].map((j) => nextPrime(Math.round(0.0055 * 1.6 ** -j * 1.13 ** -channel * RATE)));

describe('Diffuser', () => {
  it.each([0, 1, 3])(
    'of channel %d is four allpasses, 5.5 ms to 1.3 ms, a little shorter from channel to channel',
    (channel) => {
      const gains = [0.7, 0.6, -0.5, 0.4],
        k = Float64Array.of(9, 9, 9, ...gains);
      const x = noise(600, 3),
        y = x.slice();
      const diffuser = new Diffuser(channel, RATE);
      for (let at = 0; at < 600; at += 100) diffuser.process(y.subarray(at), 100, k, 3);
      const delays = delaysOf(channel);
      const expected = delays.reduce((signal, delay, j) => allpassByFormula(signal, delay, gains[j]), x);
      expect(largestDifference(y, expected)).toBeLessThan(1e-14);
      expect(diffuser.tailSamples).toBe(delays.reduce((sum, delay) => sum + delay));
    },
  );

  it('has gains of 0.7 times the diffusion, less where they would ring for more than half of the decay', () => {
    const diffuser = new Diffuser(1, RATE);
    expect(diffuser.design(1, 20)).toEqual([0.7, 0.7, 0.7, 0.7]);
    expect(diffuser.design(0.5, 20)).toEqual([0.35, 0.35, 0.35, 0.35]);
    expect(diffuser.design(0, 1)).toEqual([0, 0, 0, 0]);
    // 60 dB in half of 0.1 s: 10^(-3 delay / 0.05 s).
    const expected = delaysOf(1).map((delay) => Math.min(0.7, 10 ** ((-3 * delay) / RATE / 0.05)));
    expect(expected.filter((g) => g < 0.7).length).toBeGreaterThan(1);
    diffuser.design(1, 0.1).forEach((g, j) => expect(g).toBeCloseTo(expected[j], 12));
    expect(expected).toHaveLength(Diffuser.constants);
  });

  it('goes on from its state, and is a new one after reset()', () => {
    const [diffuser, other] = [new Diffuser(0, RATE), new Diffuser(0, RATE)];
    const k = Float64Array.of(0.7, 0.7, 0.7, 0.7);
    const heard = (d: Diffuser) => {
      const x = noise(200, 5);
      d.process(x, 200, k, 0);
      return x;
    };
    const fresh = heard(diffuser);
    diffuser.state.forEach((array, i) => other.state[i].set(array));
    const next = heard(diffuser);
    expect(firstDifference(next, heard(other))).toBe(-1);
    expect(firstDifference(next, fresh)).not.toBe(-1);
    diffuser.reset();
    expect(firstDifference(heard(diffuser), fresh)).toBe(-1);
  });
});
