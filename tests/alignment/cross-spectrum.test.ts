import { describe, expect, it } from 'vitest';
import { combineHits } from '../../src/alignment/cross-spectrum.ts';
import type { Spectra } from '../../src/alignment/hit-spectra.ts';
import { noise } from '../support/signals.ts';

const BINS = 2049;
const HITS = 6;
const RATE = 48000;
const used = Array.from({ length: HITS }, () => true);

/** Complex noise that is another one at every frequency and hit. */
const unrelated = (seed: number): Spectra => ({
  count: HITS,
  bins: BINS,
  re: noise(HITS * BINS, seed),
  im: noise(HITS * BINS, seed + 1),
});

describe('the coherence over some hits', () => {
  // The squared coherence of unrelated signals over n hits has the mean 1/n: G. C. Carter, C. H. Knapp, A. H. Nuttall,
  // "Estimation of the Magnitude-Squared Coherence Function Via Overlapped FFT Processing", IEEE Trans. AU 21(4), 1973.
  it('of unrelated signals is less than the 1/n that chance gives, because that is taken off', () => {
    const { coherence } = combineHits(unrelated(1), unrelated(3), used, 'phaseTransform', RATE);
    expect(coherence).toBeLessThan(0.6 / HITS);
  });

  it('of a signal with itself is 1, and its phases are exactly 0', () => {
    const x = unrelated(5);
    const { coherence, im, re, total } = combineHits(x, x, used, 'phaseTransform', RATE);
    expect(coherence).toBeCloseTo(1, 12);
    expect(im.every((value) => value === 0)).toBe(true);
    expect(re.reduce((sum, value) => sum + value, 0)).toBeCloseTo(total, 9);
  });

  it('counts the hits that are used, no others', () => {
    const x = unrelated(7);
    const y = unrelated(9);
    y.re.set(x.re.subarray(0, 3 * BINS));
    y.im.set(x.im.subarray(0, 3 * BINS));
    const half = used.map((_, i) => i < 3);
    expect(combineHits(x, y, half, 'phaseTransform', RATE).coherence).toBeCloseTo(1, 12);
    expect(combineHits(x, y, used, 'phaseTransform', RATE).coherence).toBeLessThan(0.6);
  });
});

describe('the weights', () => {
  const x = unrelated(11);
  const weights = (weighting: 'plain' | 'phaseTransform' | 'coherence'): Float64Array =>
    combineHits(x, x, used, weighting, RATE).weights;
  const bin = (frequencyHz: number): number => Math.round((frequencyHz / RATE) * 2 * (BINS - 1));

  it('of the phase transform are 1, of the plain correlation the power', () => {
    expect(weights('phaseTransform').every((weight) => weight === 1)).toBe(true);
    const power = (k: number): number =>
      used.reduce((sum, _, hit) => sum + x.re[hit * BINS + k] ** 2 + x.im[hit * BINS + k] ** 2, 0);
    for (const k of [1, 100, 2048]) expect(weights('plain')[k]).toBeCloseTo(power(k), 9);
  });

  it('of coherent frequencies are 1 / 0.05, a quarter of that at 500 Hz, and nothing above 20 kHz', () => {
    const found = weights('coherence');
    expect(found[bin(12000)]).toBeCloseTo(20 / (1 + (500 / 12000) ** 2) ** 2, 6);
    expect(found[bin(500)]).toBeCloseTo(20 / 4, 0); // the nearest bin is 4 Hz off
    expect(found[bin(20100)]).toBe(0);
  });
});
