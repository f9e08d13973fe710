import { describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';
import { Gate } from '../../src/dynamics/gate.ts';
import { gateThreshold } from '../../src/suggestion/gate-threshold.ts';

const RATE = 8000;
const LENGTH = 4 * RATE;
const hits = [0.5, 1.5, 2.5].map((seconds) => seconds * RATE);
const BLEED = [1, 2, 3].map((seconds) => seconds * RATE);
const GATE = { hysteresisDb: 3, rangeDb: 40, attackMs: 0.5, holdMs: 20, releaseMs: 20, lookaheadMs: 2 };
const DECAY_MS = 300;

/** Hits of amplitude 1, 0.7 and 0.5, and between them bleed of 0.125: -18 dB. */
const take = new Float64Array(LENGTH);
const add = (at: number, amplitude: number, frequencyHz: number) => {
  for (let n = at; n < LENGTH; n++) {
    const t = (n - at) / RATE;
    take[n] += amplitude * Math.cos(2 * Math.PI * frequencyHz * t) * 10 ** ((-3 * t * 1000) / DECAY_MS);
  }
};
[1, 0.7, 0.5].forEach((amplitude, h) => { add(hits[h], amplitude, 180); }); // prettier-ignore
BLEED.forEach((at) => { add(at, 0.125, 700); }); // prettier-ignore

/** How far the gaps fall and what the hits lose, worked out sample by sample from one run of the gate. */
function naively(thresholdDb: number): { reductionDb: number; artefactsDb: number } {
  const gate = new Gate({ sampleRateHz: RATE, channels: 1 }, { ...GATE, thresholdDb });
  const late = gate.latencySamples;
  const padded = new Float64Array(LENGTH + late);
  padded.set(take);
  const output = new Float64Array(LENGTH + late);
  gate.process([padded], [output]);
  let hit = 0,
    lost = 0,
    gap = 0,
    left = 0;
  for (let n = 0; n < LENGTH; n++) {
    const before = hits.filter((sample) => sample <= n);
    if (before.length === 0) continue;
    const ms = ((n - before[before.length - 1]) * 1000) / RATE;
    if (ms < 60) {
      hit += take[n] ** 2;
      lost += (take[n] - output[n + late]) ** 2;
    } else if (ms >= DECAY_MS / 2 + GATE.holdMs + 2.3 * GATE.releaseMs) {
      gap += take[n] ** 2;
      left += output[n + late] ** 2;
    }
  }
  return { reductionDb: 10 * Math.log10(gap / left), artefactsDb: 10 * Math.log10((lost + 1e-12) / hit) };
}

describe('the threshold of least harm', () => {
  const problem = {
    sampleRateHz: RATE,
    source: sourceOf(take),
    key: sourceOf(take),
    hits,
    decayMs: DECAY_MS,
    gate: GATE,
    fromDb: -40,
    toDb: -8,
  };
  const found = gateThreshold(problem);

  it('lies between the bleed, -18 dB, and the softest hit, -6 dB', () => {
    expect(found.thresholdDb).toBeGreaterThan(-18.1);
    expect(found.thresholdDb).toBeLessThan(-6);
  });

  it('does what a sample-by-sample account of the gate says', () => {
    const { reductionDb, artefactsDb } = naively(found.thresholdDb);
    expect(found.reductionDb).toBeCloseTo(reductionDb, 3);
    expect(found.artefactsDb).toBeCloseTo(artefactsDb, 3);
  });

  it('is the best of a fine grid: no threshold that reduces by 24 dB harms the hits less', () => {
    expect(found.reductionDb).toBeGreaterThanOrEqual(24);
    const grid = Array.from({ length: 65 }, (_, i) => naively(-40 + i / 2)).filter(
      ({ reductionDb }) => reductionDb >= 24,
    );
    expect(grid.length).toBeGreaterThan(5);
    expect(grid.length).toBeLessThan(60);
    const best = Math.min(...grid.map(({ artefactsDb }) => artefactsDb));
    expect(found.artefactsDb).toBeLessThanOrEqual(best + 0.5); // one step of the halving
  });

  it('is the lowest of the range where all reduce enough, and the highest where none does', () => {
    expect(gateThreshold({ ...problem, fromDb: -12, toDb: -8 }).thresholdDb).toBe(-12);
    expect(gateThreshold({ ...problem, fromDb: -60, toDb: -30 }).thresholdDb).toBe(-30);
  });
});
