import { describe, expect, it } from 'vitest';
import type { KitEvent } from '../../src/suggestion/kit-events.ts';
import { noteOf, preDelayMs } from '../../src/suggestion/pre-delay.ts';
import { tempoOf } from '../../src/suggestion/tempo.ts';

const RATE = 48000;
/** Eighth notes, loud on the quarters, each off by up to `jitterMs`. */
const eighths = (bpm: number, count: number, jitterMs = 0): KitEvent[] =>
  Array.from({ length: count }, (_, i) => ({
    sample: ((60 / bpm / 2) * i + (jitterMs / 1000) * Math.sin(7 * i)) * RATE + 5000,
    first: 0,
    lags: new Float64Array(1),
    levelsDb: Float64Array.of(i % 2 === 0 ? 0 : -30),
  }));

describe('the tempo', () => {
  it.each([84, 96, 116, 120, 137, 150])(
    'of eighths at %s quarters to the minute is found within 0.2 %%, by an unsteady player within 0.5 %%',
    (bpm) => {
      for (const [jitterMs, tolerance] of [
        [0, 0.002],
        [6, 0.005],
      ]) {
        // prettier-ignore
        const tempo = tempoOf(eighths(bpm, 40, jitterMs), RATE);
        expect(Math.abs((tempo?.bpm ?? 0) / bpm - 1)).toBeLessThan(tolerance);
        expect(tempo?.strength).toBeGreaterThan(0.3);
      }
    },
  );

  it('is not told from fewer than eight strokes', () => {
    expect(tempoOf(eighths(120, 7), RATE)).toBeUndefined();
  });
});

describe('the pre-delay', () => {
  it('is a 1/64 note at 120 quarters to the minute: 31.25 ms', () => {
    expect(preDelayMs(120)).toBe(31.25);
    expect(noteOf(31.25, 120)).toBe('1/64');
    expect(noteOf(preDelayMs(60), 60)).toBe('1/128');
  });

  it('is above 17.5 and at most 35 ms, and the same for half and double the tempo', () => {
    for (let bpm = 40; bpm <= 200; bpm += 7) {
      expect(preDelayMs(bpm)).toBeGreaterThan(17.5);
      expect(preDelayMs(bpm)).toBeLessThanOrEqual(35);
      expect(preDelayMs(2 * bpm)).toBeCloseTo(preDelayMs(bpm), 12);
    }
    expect(() => preDelayMs(10)).toThrow(new RangeError('preDelayMs: tempoBpm must be 20 to 400, got 10'));
  });
});
