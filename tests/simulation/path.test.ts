import { describe, expect, it } from 'vitest';
import { airLossDbPerMetre } from '../../src/simulation/air.ts';
import { defaultKitLayout, type KitLayout } from '../../src/simulation/layout.ts';
import { PATH_LEAD_SAMPLES, type Path, PathBuilder } from '../../src/simulation/path.ts';
import type { Vector } from '../../src/simulation/vectors.ts';
import vectors from '../vectors/alignment.json' with { type: 'json' };
import { toDb, transformAt } from './measure.ts';

const air = { temperatureC: 20, humidityPercent: 50 };
const deaf = { floorReflection: 0, ceilingReflection: 0, wallReflection: 0, reflectionOrder: 1 };

/** The path between two points, heard by an omni in front of an upright drum. */
function pathBetween(source: Vector, listener: Vector, room: Partial<KitLayout['room']>, sampleRateHz = 48000): Path {
  const layout = defaultKitLayout();
  return new PathBuilder(
    {
      room: { ...layout.room, sizeMetres: [30, 30, 30], ...deaf, ...room },
      drums: { ...layout.drums, snare: { positionMetres: source, front: [1, 0, 0] } },
      microphones: { ...layout.microphones, roomLeft: { positionMetres: listener, axis: [1, 0, 0], pattern: 'omni' } },
    },
    sampleRateHz,
    air,
  ).build('snare', 'roomLeft');
}

const responseAt = (path: Path, cycles: number) => transformAt(path.impulseResponse, cycles, PATH_LEAD_SAMPLES);
const levelAt = (path: Path, cycles: number) => {
  const { re, im } = responseAt(path, cycles);
  return toDb(Math.hypot(re, im));
};

/** Delay from the phase: its slope between neighbouring frequencies, followed from 0 Hz where it is 0. */
function delayByPhase(path: Path, highestCycles: number): number {
  const step = 1 / 65536;
  let phase = 0;
  let last = 0;
  for (let f = step; f <= highestCycles; f += step * 16) {
    const { re, im } = responseAt(path, f);
    const expected = f > step ? (phase * f) / last : 0;
    const wrapped = Math.atan2(im, re);
    phase = wrapped + 2 * Math.PI * Math.round((expected - wrapped) / (2 * Math.PI));
    last = f;
  }
  return -phase / (2 * Math.PI * last);
}

describe('direct sound', () => {
  it('arrives after distance / c, by its phase, within 1e-4 sample', () => {
    for (const { d_m, samples_48k } of vectors.distance.filter((row) => row.T_C === 20 && row.d_m <= 5)) {
      const path = pathBetween([2, 15, 15], [2 + d_m, 15, 15], {});
      expect(Math.abs(delayByPhase(path, 0.25) - samples_48k), `${d_m} m`).toBeLessThan(1e-4);
      expect(path.delaySamples).toBeCloseTo(samples_48k, 5);
    }
  });

  it('arrives after distance / c at 44.1 kHz too', () => {
    const row = vectors.distance.find(({ T_C, d_m }) => T_C === 20 && d_m === 0.25);
    const path = pathBetween([2, 15, 15], [2.25, 15, 15], {}, 44100);
    expect(delayByPhase(path, 0.25)).toBeCloseTo(row?.samples_44k1 ?? NaN, 4);
  });

  it('falls by 6.02 dB for every doubling of the distance, and is 1 at 1 m', () => {
    const levels = [0.5, 1, 2, 4, 8].map((metres) => levelAt(pathBetween([2, 15, 15], [2 + metres, 15, 15], {}), 0));
    const expected = [6.0206, 0, -6.0206, -12.0412, -18.0618]; // 20 lg (1 / d)
    expect(Math.max(...levels.map((level, i) => Math.abs(level - expected[i])))).toBeLessThan(1e-4);
  });

  it('loses high frequencies to the air as ISO 9613-1 says', () => {
    const path = pathBetween([2, 15, 15], [12, 15, 15], {});
    const expected = -20 - 10 * airLossDbPerMetre(12000, air);
    expect(levelAt(path, 12000 / 48000)).toBeCloseTo(expected, 2);
  });
});

describe('one reflection', () => {
  // Source and listener 1 m above the floor and 2.4 m apart: direct 2.4 m, by the floor sqrt(2.4^2 + 2^2) m.
  const path = pathBetween([10, 15, 1], [12.4, 15, 1], { floorReflection: 1 });
  const seconds = (Math.hypot(2.4, 2) - 2.4) / (331.3 * Math.sqrt(1 + 20 / 273.15));
  const quotient = 2.4 / Math.hypot(2.4, 2);

  it('cuts notches at (2 k + 1) / (2 dt) and leaves peaks at k / dt, as deep and high as 1 -+ g', () => {
    const air12 = (hz: number) => -2.4 * airLossDbPerMetre(hz, air);
    for (let k = 0; k < 6; k++) {
      const notchHz = (2 * k + 1) / (2 * seconds);
      const peakHz = k / seconds;
      // the reflected way loses a little more air: below 4 kHz at most 0.02 dB of g
      expect(levelAt(path, notchHz / 48000) - toDb(1 / 2.4) - air12(notchHz)).toBeCloseTo(toDb(1 - quotient), 1);
      expect(levelAt(path, peakHz / 48000) - toDb(1 / 2.4) - air12(peakHz)).toBeCloseTo(toDb(1 + quotient), 1);
    }
  });

  it('has its lowest point within 1 Hz of each notch', () => {
    for (let k = 0; k < 3; k++) {
      const notchHz = (2 * k + 1) / (2 * seconds);
      let lowestHz = 0;
      let lowest = Infinity;
      for (let hz = notchHz - 40; hz <= notchHz + 40; hz += 0.5) {
        const level = levelAt(path, hz / 48000);
        if (level < lowest) [lowest, lowestHz] = [level, hz];
      }
      expect(Math.abs(lowestHz - notchHz)).toBeLessThan(1);
    }
  });
});

describe('sides and directions', () => {
  const layout = defaultKitLayout();
  const builder = new PathBuilder({ ...layout, room: { ...layout.room, reflectionOrder: 0 } }, 48000, air);

  it('inverts what the snare sends downwards and nothing of what it sends up', () => {
    expect(builder.build('snare', 'snareTop').polarity).toBe(1);
    expect(builder.build('snare', 'snareBottom').polarity).toBe(-1);
    expect(builder.build('snare', 'overheadLeft').polarity).toBe(1);
    expect(responseAt(builder.build('snare', 'snareTop'), 0).re).toBeGreaterThan(0);
    expect(responseAt(builder.build('snare', 'snareBottom'), 0).re).toBeLessThan(0);
  });

  it('hears the kick alike inside and outside of the resonant head', () => {
    expect(builder.build('kick', 'kickIn').polarity).toBe(1);
    expect(builder.build('kick', 'kickOut').polarity).toBe(1);
  });

  it('hears a drum behind its head inverted', () => {
    expect(builder.build('kick', 'snareTop').polarity).toBe(-1);
  });

  it('weights a cardioid by (1 + cos) / 2, floor 0.05, an omni not at all', () => {
    const at = (axis: Vector, pattern: 'cardioid' | 'omni') => {
      const roomLeft = { positionMetres: [3.1, 3.2, 0.3] as Vector, axis, pattern }; // 1 m in front of the kick
      const microphones = { ...layout.microphones, roomLeft };
      const room = { ...layout.room, reflectionOrder: 0 };
      return responseAt(new PathBuilder({ ...layout, room, microphones }, 48000, air).build('kick', 'roomLeft'), 0).re;
    };
    expect(at([0, -1, 0], 'cardioid')).toBeCloseTo(1, 9);
    expect(at([0, -1, 1], 'cardioid')).toBeCloseTo(0.5 + 0.5 * Math.SQRT1_2, 9);
    expect(at([1, 0, 0], 'cardioid')).toBeCloseTo(0.5, 9);
    expect(at([0, 1, 0], 'cardioid')).toBeCloseTo(0.05, 9);
    expect(at([0, 1, 0], 'omni')).toBeCloseTo(1, 9);
  });
});
