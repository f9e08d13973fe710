import { describe, expect, it } from 'vitest';
import { failures, measureFailure } from '../../../examples/envelope-lab/src/failures.ts';
import { makeSound } from '../../../examples/envelope-lab/src/sources.ts';
import type { Settings } from '../../../examples/envelope-lab/src/settings.ts';
import type { Sound } from '../../../examples/envelope-lab/src/render.ts';
import { simulateKit } from '../../../src/simulation/simulate-kit.ts';

const soundOf = (settings: Settings) => makeSound(settings) as Sound;
const measured = (name: string) => {
  const failure = failures.find((one) => one.name === name);
  if (!failure) throw new Error(`no failure ${name}`);
  return measureFailure(failure, soundOf);
};

describe('prepared failures', () => {
  it('chatter: many openings for each blow, then about one for each', () => {
    const [fault, cure] = measured('chatter');
    // What was really struck; the gate may be held open from one blow to the next.
    const blows = simulateKit({ bars: 1, tailSeconds: 1 }).truth.hits.filter(({ drum }) => drum === 'kick').length;
    expect(fault).toBeGreaterThan(5 * blows);
    expect(Math.abs(cure - blows)).toBeLessThanOrEqual(2);
  });

  it('flam: the copy is 1200 samples late, then not at all', () => {
    expect(measured('flam')).toEqual([25, 0]);
  });

  it('comb: a notch of more than 10 dB, then less than 2 dB', () => {
    const [fault, cure] = measured('comb');
    expect(fault).toBeGreaterThan(10);
    expect(cure).toBeLessThan(2);
  });

  it('pumping: the gain swings less than half as far', () => {
    const [fault, cure] = measured('pumping');
    expect(fault).toBeGreaterThan(12);
    expect(cure).toBeLessThan(fault / 1.9);
  });

  it('alias: the seventh harmonic folds back as high as the Fourier series puts it, then 60 dB lower', () => {
    const [fault, cure] = measured('alias');
    // Fourier series of a sine of amplitude A, clipped at 1; derived in src/saturation/hard-clipper.ts.
    const a = 10 ** (12 / 20),
      theta = Math.asin(1 / a);
    const first = (2 / Math.PI) * (a * theta + Math.cos(theta));
    const nth = (n: number) =>
      (4 / Math.PI) *
      ((a / 2) * (Math.sin((n - 1) * theta) / (n - 1) - Math.sin((n + 1) * theta) / (n + 1)) + Math.cos(n * theta) / n);
    // 3 x 4987 Hz lies below 20 kHz, 5 x folds to 23.1 kHz, 7 x to 13.1 kHz.
    // The window reads a line between two bins up to 0.4 dB too low.
    expect(Math.abs(fault - 20 * Math.log10(Math.abs(nth(7) / first)))).toBeLessThan(0.4);
    expect(cure).toBeLessThan(-80);
  });

  it('mud: the lows fall by 15 dB more between the hits', () => {
    const [fault, cure] = measured('mud');
    expect(fault).toBeGreaterThan(-30);
    expect(cure).toBeLessThan(fault - 15);
  });
});
