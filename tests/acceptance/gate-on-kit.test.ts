/**
 * The gate on the simulated kit, whose stems tell bleed and drum apart: at least 20 dB less bleed between the hits, and at
 * most 0.3 dB of the first 5 ms of a hit lost. A plain gate is for hits that stand 6 dB above the bleed's peak.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { Gate } from '../../src/dynamics/gate.ts';
import { Limiter } from '../../src/dynamics/limiter.ts';
import { Equaliser } from '../../src/filters/equaliser.ts';
import { drumNames } from '../../src/simulation/names.ts';
import { type SimulatedKit, simulateKit } from '../../src/simulation/simulate-kit.ts';
import { peak, rms, toFloat32 } from '../support/signals.ts';
import { render, render64 } from '../support/processor-laws.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const ms = (time: number) => Math.round(time * 48);
const HOLD_MS = 60,
  RELEASE_MS = 40,
  LOOKAHEAD_MS = 2;

describe('a gate on the snare of the simulated kit', () => {
  let kit: SimulatedKit;
  let target: Float64Array, bleed: Float64Array, gain: Float64Array;
  let arrivals: readonly number[];
  let late = 0;

  beforeAll(() => {
    const strokes = Array.from({ length: 8 }, (_, i) => [
      { drum: 'snare' as const, seconds: 0.5 + i, velocity: 0.9 },
      { drum: 'kick' as const, seconds: 1 + i, velocity: 0.9 },
      { drum: 'hat' as const, seconds: 0.75 + i, velocity: 0.6 },
      { drum: 'hat' as const, seconds: 1.25 + i, velocity: 0.6 },
    ]).flat();
    kit = simulateKit({ strokes, bleedDb: -12 });
    target = kit.stem('snareTop', 'snare');
    bleed = new Float64Array(kit.frames);
    for (const drum of drumNames) {
      if (drum !== 'snare') kit.stem('snareTop', drum).forEach((x, i) => (bleed[i] += x));
    }
    arrivals = kit.truth.hits.filter(({ drum }) => drum === 'snare').map((hit) => Math.round(hit.arrivals.snareTop));
    const thresholdDb = 20 * Math.log10(peak(bleed)) + 3;
    const gate = new Gate(
      mono,
      {
        thresholdDb,
        hysteresisDb: 6,
        rangeDb: 40,
        attackMs: 0.2,
        holdMs: HOLD_MS,
        releaseMs: RELEASE_MS,
        lookaheadMs: LOOKAHEAD_MS,
      },
      { keyFilter: new Equaliser(mono, [{ type: 'highpass', frequencyHz: 100 }]) },
    );
    late = gate.latencySamples;
    const gainDb = new Float64Array(kit.frames);
    gate.process([kit.microphones.snareTop], [new Float64Array(kit.frames)], { trace: { gainDb: [gainDb] } });
    gain = gainDb.map((dB) => 10 ** (dB / 20));
  }, 60_000);

  it('finds hits that stand at least 6 dB above the bleed', () => {
    for (const at of arrivals)
      expect(20 * Math.log10(peak(target.subarray(at, at + ms(20))) / peak(bleed))).toBeGreaterThan(6);
    expect(arrivals).toHaveLength(8);
  });

  it('leaves at least 20 dB less bleed in the gaps between hits', () => {
    // A gap: from the end of hold and 2.3 time constants of release after the hit has fallen below the closing level.
    const before: number[] = [],
      after: number[] = [];
    const closing = 10 ** ((20 * Math.log10(peak(bleed)) + 3 - 6) / 20);
    arrivals.forEach((at, h) => {
      const next = arrivals[h + 1] ?? kit.frames;
      let end = at;
      for (let i = at; i < next - ms(100); i++) if (Math.abs(kit.microphones.snareTop[i]) >= closing) end = i;
      for (let i = end + ms(HOLD_MS + 2.3 * RELEASE_MS); i < next - ms(LOOKAHEAD_MS) && i + late < kit.frames; i++) {
        before.push(bleed[i]);
        after.push(bleed[i] * gain[i + late]);
      }
    });
    expect(before.length).toBeGreaterThan(48_000);
    expect(20 * Math.log10(rms(before) / rms(after))).toBeGreaterThanOrEqual(20);
  });

  it('loses at most 0.3 dB of the peak in the first 5 ms of every hit', () => {
    const losses = arrivals.map((at) => {
      const attack = target.subarray(at, at + ms(5));
      const gated = attack.map((x, i) => x * gain[at + i + late]);
      return 20 * Math.log10(peak(attack) / peak(gated));
    });
    expect(Math.max(...losses)).toBeLessThanOrEqual(0.3);
  });

  it('a limiter driven 24 dB over by all microphones lets no sample pass its ceiling', () => {
    const ceiling = 10 ** (-1 / 20);
    let over = 0;
    for (const microphone of Object.values(kit.microphones)) {
      const loud = toFloat32(microphone.map((x) => x * 10 ** (24 / 20)));
      const [y] = render(new Limiter(mono, { ceilingDb: -1, releaseMs: 20 }), [loud]);
      over += y.filter((v) => Math.abs(v) > ceiling).length;
    }
    expect(over).toBe(0);
    expect(
      peak(render64(new Limiter(mono, { ceilingDb: -1 }), [kit.microphones.kickIn.map((x) => 16 * x)])[0]),
    ).toBeGreaterThan(0.8);
  });
});
