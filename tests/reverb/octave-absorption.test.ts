/** The longest decay that absorption filters leave, against the bands that they are asked for. */
import { describe, expect, it } from 'vitest';
import { OctaveAbsorption } from '../../src/reverb/octave-absorption.ts';

describe('OctaveAbsorption: the longest decay at any frequency', () => {
  const absorption = new OctaveAbsorption(48000);

  it.each([
    [1, 0.5, 1, 0.5, 1, 0.5, 1],
    [0.5, 1, 0.5, 1, 0.5, 1, 0.5],
    [0.25, 0.5, 1, 2, 1, 0.5, 0.25],
    [2, 1, 0.5, 0.25, 0.5, 1, 2],
    [1, 2, 4, 8, 4, 2, 1],
    [2, 4, 2, 1, 0.5, 0.25, 0.125],
  ])('lies at or little above that of the slowest band: %d s at 125 Hz, %d at 250 Hz', (...course) => {
    const longest = Math.max(...course);
    expect(absorption.longestDecaySeconds(course)).toBeGreaterThanOrEqual(0.97 * longest);
    expect(absorption.longestDecaySeconds(course)).toBeLessThan(2 * longest);
  });
});
