import { describe, expect, it } from 'vitest';
import { barAt, stepMarks, STEPS_PER_BAR } from '../../src/simulation/groove.ts';
import { drumNames } from '../../src/simulation/names.ts';
import { LEAD_IN_SECONDS, play } from '../../src/simulation/player.ts';

const settings = { seed: 5, tempoBpm: 100, bars: 64, timingMs: 4, velocitySpread: 0.06 };
const STEP_SECONDS = 60 / 100 / 4;

describe('the groove', () => {
  const bars = Array.from({ length: 9 }, (_, i) => barAt(i, 8));

  it('has sixteen known steps for every drum of every bar', () => {
    const odd = bars.flatMap((bar) => Object.values(bar).filter((steps) => !/^[Xxgop.]{16}$/.test(steps)));
    expect(odd).toEqual([]);
    expect(Object.keys(stepMarks).sort()).toEqual(['X', 'g', 'o', 'p', 'x']);
  });

  it('has a backbeat with ghost notes, hat accents, an open hat, a foot on the hat, tom fills and crashes', () => {
    expect(bars[0].snare).toMatch(/^....X.*g.*X/);
    expect(bars[2].hat).toMatch(/^X.x.X.x./);
    expect(bars[1].hat).toContain('o');
    expect(bars[5].hat).toContain('p');
    expect(bars[7].tom1).toBeDefined();
    expect(bars[7].tom2).toBeDefined();
    expect([bars[0].crashLeft?.[0], bars[4].crashRight?.[0], bars[8].crashRight?.[0]]).toEqual(['X', 'X', 'X']);
  });

  it('never asks the hands for more than two strokes at once', () => {
    const hands = drumNames.filter((drum) => drum !== 'kick');
    for (const bar of bars) {
      for (let step = 0; step < STEPS_PER_BAR; step++) {
        const played = hands.filter((drum) => !['.', 'p'].includes(bar[drum]?.[step] ?? '.'));
        expect(played.length).toBeLessThanOrEqual(2);
      }
    }
  });
});

describe('the player', () => {
  const strokes = play(settings);
  const offsetsMs = strokes.map((stroke) => {
    const steps = (stroke.seconds - LEAD_IN_SECONDS) / STEP_SECONDS;
    return 1000 * STEP_SECONDS * (steps - Math.round(steps));
  });

  it('strikes on the grid, normally spread by the asked deviation, never out by more than three of them', () => {
    const deviation = Math.sqrt(offsetsMs.reduce((sum, x) => sum + x * x, 0) / offsetsMs.length);
    // standard error of a deviation is 1 / sqrt(2 n): 2 % for 1300 strokes, three of them allowed
    expect(strokes.length).toBeGreaterThan(1000);
    expect(deviation / 4).toBeGreaterThan(0.93);
    expect(deviation / 4).toBeLessThan(1.07);
    const mean = offsetsMs.reduce((sum, x) => sum + x, 0) / offsetsMs.length;
    expect(Math.abs(mean)).toBeLessThan(0.4); // standard error 4 / sqrt(1300) = 0.11 ms
    expect(Math.max(...offsetsMs.map(Math.abs))).toBeLessThanOrEqual(12 + 1e-9);
  });

  it('is a machine with no deviation', () => {
    const exact = play({ ...settings, timingMs: 0, velocitySpread: 0 });
    const kick = exact.filter((stroke) => stroke.drum === 'kick');
    expect(kick[0].seconds).toBe(LEAD_IN_SECONDS);
    expect([...new Set(exact.map((stroke) => stroke.velocity))].sort()).toEqual([0.16, 0.55, 0.68, 0.8, 0.94]);
  });

  it('ends with one last stroke after the asked bars', () => {
    const last = play({ ...settings, bars: 3, timingMs: 0 }).at(-1);
    expect(last?.seconds).toBeCloseTo(LEAD_IN_SECONDS + 3 * 2.4, 12);
  });

  it('plays sorted strokes with velocities above 0 and up to 1', () => {
    expect(strokes.every((stroke, i) => i === 0 || stroke.seconds >= strokes[i - 1].seconds)).toBe(true);
    expect(strokes.every(({ velocity }) => velocity > 0 && velocity <= 1)).toBe(true);
  });

  it('plays the same again with the same seed, something else with another', () => {
    expect(play(settings)).toEqual(strokes);
    expect(play({ ...settings, seed: 6 })).not.toEqual(strokes);
  });
});
