import { describe, expect, it } from 'vitest';
import { setLevels } from '../../src/simulation/sound-check.ts';

const peaks = { kick: 0.5, snare: 2, hat: 0.1, tom1: 0.2, tom2: 0.2, ride: 0.05, crashLeft: 0.3, crashRight: 0.25 };

describe('setLevels', () => {
  it('states the natural bleed, the loudest other drum over the target, and gives all paths one gain', () => {
    const { bleedDb, gains } = setLevels(peaks, 'snare', -6, undefined);
    expect(bleedDb).toBeCloseTo(20 * Math.log10(0.5 / 2), 12);
    expect(new Set(Object.values(gains)).size).toBe(1);
    expect(20 * Math.log10(gains.snare * 2)).toBeCloseTo(-6, 12);
  });

  it.each([-40, -12, 0])('makes the loudest other drum %d dB of the target', (asked) => {
    const { bleedDb, gains } = setLevels(peaks, 'snare', -6, asked);
    expect(bleedDb).toBeCloseTo(asked, 12);
    expect(20 * Math.log10((gains.kick * 0.5) / (gains.snare * 2))).toBeCloseTo(asked, 12);
    expect(gains.hat).toBe(gains.kick);
  });

  it('counts the loudest drum for the peak even when it is bleed', () => {
    const { gains } = setLevels(peaks, 'hat', -6, 6);
    expect(20 * Math.log10(gains.snare * 2)).toBeCloseTo(-6, 12);
    expect(20 * Math.log10(gains.hat * 0.1)).toBeCloseTo(-12, 12);
  });

  it('has no bleed to set without a target', () => {
    expect(setLevels(peaks, undefined, -6, -40)).toEqual(setLevels(peaks, undefined, -6, undefined));
    expect(setLevels(peaks, undefined, -6, -40).bleedDb).toBeUndefined();
  });
});
