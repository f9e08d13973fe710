import { describe, expect, it } from 'vitest';
import { Gate } from '../../src/dynamics/gate.ts';
import { HitKey } from '../../src/hits/hit-key.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';
import { constant, firstDifference } from '../support/signals.ts';
import { gateFigures } from './gate-figures.ts';
import { trueHits } from './kit-layers.ts';

const RATE = 48000;

describe('a hit key', () => {
  it('is silent before the first hit, has its level at the hit and falls by 60 dB in the decay', () => {
    const key = new Float64Array(30_000);
    new HitKey(RATE, [{ sample: 1000.7, velocityDb: -12 }], { decayMs: 250 }).read(0, key);
    expect(key.findIndex((x) => x !== 0)).toBe(1000);
    expect(20 * Math.log10(key[1000])).toBeCloseTo(-12, 12);
    for (const share of [0.25, 0.5, 1, 2]) {
      expect(20 * Math.log10(key[1000 + 12_000 * share])).toBeCloseTo(-12 - 60 * share, 9);
    }
  });

  it('is the louder of all hits so far', () => {
    const loud = new Float64Array(9000),
      soft = new Float64Array(9000),
      both = new Float64Array(9000);
    const hits = [
      { sample: 100, velocityDb: -3 },
      { sample: 2000, velocityDb: -30 },
    ];
    new HitKey(RATE, hits.slice(0, 1)).read(0, loud);
    new HitKey(RATE, hits.slice(1)).read(0, soft);
    new HitKey(RATE, hits).read(0, both);
    both.forEach((x, n) => {
      expect(Math.abs(x / (Math.max(loud[n], soft[n]) || 1) - (n < 100 ? 0 : 1))).toBeLessThan(1e-12);
    });
  });

  it('is the same read from anywhere, in any order', () => {
    const hits = Array.from({ length: 20 }, (_, i) => ({ sample: 313.3 * i, velocityDb: -((7 * i) % 30) }));
    const key = new HitKey(RATE, hits);
    const whole = new Float64Array(7000),
      part = new Float64Array(129);
    key.read(0, whole);
    for (const start of [5000, 17, 0, 6871, 312, 313]) {
      key.read(start, part);
      expect(firstDifference(part, whole.slice(start, start + 129))).toBe(-1);
    }
    key.read(-129, part);
    expect(part.every((x) => x === 0)).toBe(true);
  });

  it('opens a gate by its look-ahead before the hit, to the sample', () => {
    const key = new Float64Array(20_000);
    new HitKey(RATE, [{ sample: 5000, velocityDb: -10 }]).read(0, key);
    for (const lookaheadMs of [0, 1, 5]) {
      const gate = new Gate({ sampleRateHz: RATE, channels: 1 }, { lookaheadMs, rangeDb: 120, attackMs: 0 });
      const y = new Float64Array(20_000);
      gate.process([constant(1, 20_000)], [y], { key: [key] });
      const opens = y.findIndex((v) => v === 1);
      expect(opens - gate.latencySamples).toBe(5000 - 48 * lookaheadMs);
    }
  });

  it('keeps the gate open the longer the harder the hit, and shut for a hit below the threshold', () => {
    const openFor = (velocityDb: number) => {
      const key = new Float64Array(RATE);
      new HitKey(RATE, [{ sample: 100, velocityDb }], { decayMs: 300 }).read(0, key);
      const gate = new Gate(
        { sampleRateHz: RATE, channels: 1 },
        { thresholdDb: -50, hysteresisDb: 6, attackMs: 0, holdMs: 0, releaseMs: 0 },
      );
      const y = new Float64Array(RATE);
      gate.process([constant(1, RATE)], [y], { key: [key] });
      return y.filter((v) => v === 1).length;
    };
    // 60 dB take 300 ms, so the 46 and 26 dB down to the closing level at -56 dB take 230 and 130 ms.
    expect(Math.abs(openFor(-10) - 0.23 * RATE)).toBeLessThanOrEqual(1);
    expect(Math.abs(openFor(-30) - 0.13 * RATE)).toBeLessThanOrEqual(1);
    expect(openFor(-50.1)).toBe(0);
  });

  it('refuses a decay that is none', () => {
    expect(() => new HitKey(RATE, [], { decayMs: 0 })).toThrow('HitKey: decayMs must be 1 to 10000, got 0');
  });
});

describe('a gate with the key of the true hits, on the simulated snare with ghost notes and bleed at -12 dB', () => {
  it('takes 20 dB of bleed out of the gaps, and at most 0.3 dB off any hit, ghost notes among them', () => {
    const kit = simulateKit({ bars: 2, bleedDb: -12 });
    const hits = trueHits(kit, 'snare', 'snareTop');
    const key = new Float64Array(kit.frames);
    new HitKey(RATE, hits, { decayMs: 250 }).read(0, key);
    const gate = {
      thresholdDb: -45,
      hysteresisDb: 0,
      rangeDb: 40,
      attackMs: 0.2,
      holdMs: 10,
      releaseMs: 25,
      lookaheadMs: 2,
    };
    const closing = 10 ** (-45 / 20);
    const figures = gateFigures({
      kit,
      drum: 'snare',
      microphone: 'snareTop',
      gate,
      key,
      hitEnd: (at, next) => {
        let end = at;
        while (end < next && key[end] >= closing) end++;
        return end;
      },
    });
    expect(figures.velocities.filter((velocity) => velocity < 0.25).length).toBeGreaterThanOrEqual(6);
    expect(figures.gapSeconds).toBeGreaterThan(1);
    expect(figures.bleedDownDb).toBeGreaterThanOrEqual(20);
    expect(Math.max(...figures.lossesDb)).toBeLessThanOrEqual(0.3);
  });
});
