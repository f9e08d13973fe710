/** Which key a gate gets, on signals whose hits and bleed are known. */
import { describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';
import type { Hit } from '../../src/hits/hit-list.ts';
import { gatePlan } from '../../src/suggestion/gate-plan.ts';
import { filtered, keyLevels } from '../../src/suggestion/key-levels.ts';

const RATE = 8000;
const LENGTH = 5 * RATE;
const FUNDAMENTAL_HZ = 100;
const DECAY_MS = 300;
const HITS = [0.5, 1.5, 2.5, 3.5].map((seconds) => seconds * RATE);
const BLEED = [1, 2, 3, 4].map((seconds) => seconds * RATE);

/** Hits of a drum at 100 Hz, and bleed at the same frequency between them. */
function take(hitLevels: readonly number[], bleedLevel: number): Float64Array {
  const x = new Float64Array(LENGTH);
  const add = (at: number, amplitude: number) => {
    for (let n = at; n < LENGTH; n++) {
      const t = (n - at) / RATE;
      x[n] += amplitude * Math.sin(2 * Math.PI * FUNDAMENTAL_HZ * t) * 10 ** ((-3 * t * 1000) / DECAY_MS);
    }
  };
  HITS.forEach((at, h) => {
    add(at, hitLevels[h]);
  });
  for (const at of BLEED) add(at, bleedLevel);
  return x;
}

const plan = (hitLevels: readonly number[], bleedLevel: number) =>
  gatePlan({
    sampleRateHz: RATE,
    name: 'tom',
    source: sourceOf(take(hitLevels, bleedLevel)),
    hits: HITS.map((sample, h): Hit => ({
      drum: 'tom',
      sample,
      velocityDb: 20 * Math.log10(hitLevels[h]),
      velocity: 100,
      confidence: 1,
      source: 'detected',
    })),
    fundamentalHz: FUNDAMENTAL_HZ,
    decayMs: DECAY_MS,
  });

describe('the gate of a drum', () => {
  it('listens to the microphone where the softest hit is 6 dB above the bleed, between the two', () => {
    const { block } = plan([0.5, 0.4, 0.5, 0.4], 0.05);
    expect(block.key).toBeUndefined();
    expect(block.keyFilter).toEqual([
      { type: 'highpass', frequencyHz: 70 },
      { type: 'lowpass', frequencyHz: 600 },
    ]);
    expect(block.thresholdDb).toBeGreaterThan(20 * Math.log10(0.05) - 3); // the filter costs the bleed up to 3 dB
    expect(block.thresholdDb).toBeLessThan(20 * Math.log10(0.4) - 3);
  });

  it('listens to the hits where one is no louder than the bleed', () => {
    const { block, settings } = plan([0.5, 0.05, 0.5, 0.4], 0.1);
    expect(block.key).toEqual({ hits: 'tom', decayMs: DECAY_MS });
    expect(block.keyFilter).toBeUndefined();
    expect(block.thresholdDb).toBeLessThanOrEqual(20 * Math.log10(0.05) - 3);
    expect(settings[0].reason).toContain('opens by the hits, softest -26.0 dB');
  });

  it('keeps to the range of a gate where a file holds more than full scale', () => {
    expect(plan([50, 40, 50, 40], 5).block.thresholdDb).toBe(0);
  });

  it('holds for two periods of the fundamental and closes in a tenth of the decay', () => {
    expect(plan([0.5, 0.4, 0.5, 0.4], 0.05).block).toMatchObject({ holdMs: 20, releaseMs: 30 });
  });
});

describe('the levels of a key', () => {
  it('are the peak of the softest hit in its first 5 ms, and of what is in the gaps', () => {
    const { softestDb, bleedDb } = keyLevels(sourceOf(take([0.5, 0.3, 0.5, 0.4], 0.1)), HITS, 0.3 * RATE, RATE);
    // A sine of 100 Hz is at its peak after 2.5 ms, in which the decay has cost 60 dB 2.5 / 300 = 0.5 dB.
    expect(softestDb).toBeCloseTo(20 * Math.log10(0.3) - 0.5, 1);
    expect(bleedDb).toBeCloseTo(20 * Math.log10(0.1) - 0.5, 1);
  });

  it('a filtered source read again from its beginning is the same', () => {
    const source = filtered(sourceOf(Float64Array.of(1, 1, 1, 1)), RATE, [{ type: 'lowpass', frequencyHz: 100 }]);
    const read = () => {
      const into = new Float64Array(4);
      source.read(0, into);
      return [...into];
    };
    expect(read()).toEqual(read());
    expect(Math.max(...read())).toBeGreaterThan(0);
  });
});
