import { describe, expect, it } from 'vitest';
import {
  defaultKitLayout,
  type DrumName,
  drumNames,
  type KitLayout,
  type MicrophoneName,
  microphoneNames,
  microphoneTargets,
  simulateKit,
  type SimulatedKit,
  type SimulateKitOptions,
} from '../../src/simulation/index.ts';
import { largestDifference, peakOf, rmsOf, toDb, transformAt } from './measure.ts';

const small = { bars: 1, tailSeconds: 0.3, tempoBpm: 200 } as const;
const kit = simulateKit(small);
const layout = defaultKitLayout();
const dead: KitLayout = { ...layout, room: { ...layout.room, reflectionOrder: 0 } };

/** One full stroke on every drum, far apart, on whole samples. */
const roll = drumNames.map((drum, i) => ({ drum, seconds: 0.1 + 0.1 * i, velocity: 1 }));
const natural = simulateKit({ strokes: roll, tailSeconds: 0.5 });
const bled = simulateKit({ strokes: roll, tailSeconds: 0.5, bleedDb: -12, peakDb: -15 });

/** Peak of a stem between two times. */
function peakWithin(samples: Float64Array, from: number, to: number): number {
  return peakOf(samples.subarray(Math.round(from), Math.round(to)));
}

describe('microphones', () => {
  it('are exactly the sum of their stems and their noise', () => {
    for (const microphone of microphoneNames) {
      const sum = new Float64Array(kit.frames);
      for (const drum of drumNames) kit.stem(microphone, drum).forEach((sample, i) => (sum[i] += sample));
      kit.noise(microphone).forEach((sample, i) => (sum[i] += sample));
      expect(largestDifference(sum, kit.microphones[microphone]), microphone).toBe(0);
    }
  });

  it('are all there, finite, of the stated length', () => {
    expect(Object.keys(kit.microphones)).toEqual([...microphoneNames]);
    for (const samples of Object.values(kit.microphones)) {
      expect(samples).toHaveLength(kit.frames);
      expect(samples.every(Number.isFinite)).toBe(true);
    }
  });

  it('have independent noise of -80 dBFS RMS', () => {
    const noises = microphoneNames.map((name) => kit.noise(name));
    expect(Math.max(...noises.map((noise) => Math.abs(toDb(rmsOf(noise)) + 80)))).toBeLessThan(0.1);
    const product = noises[0].reduce((sum, sample, i) => sum + sample * noises[1][i], 0) / kit.frames;
    expect(Math.abs(product) / 1e-8).toBeLessThan(0.02);
  });

  it.each([
    [natural, -9],
    [bled, -15],
  ])('reach the asked peak when the loudest drum is struck with full force (%#)', (struck, peakDb) => {
    for (const microphone of microphoneNames) {
      const peaks = drumNames.map((drum) => peakOf(struck.stem(microphone, drum)));
      expect(toDb(Math.max(...peaks)), microphone).toBeCloseTo(peakDb, 6);
    }
  });
});

describe('the seed', () => {
  it('gives the same bits again', () => {
    const again = simulateKit(small);
    expect(again.truth).toEqual(kit.truth);
    expect(microphoneNames.filter((m) => largestDifference(again.microphones[m], kit.microphones[m]) !== 0)).toEqual(
      [],
    );
  });

  it('gives something else when it is another', () => {
    const other = simulateKit({ ...small, seed: 2, strokes: kit.truth.hits.map(strokeOf), tailSeconds: 0.3 });
    for (const microphone of microphoneNames) {
      expect(largestDifference(other.microphones[microphone], kit.microphones[microphone])).toBeGreaterThan(1e-3);
    }
  });
});

function strokeOf(hit: SimulatedKit['truth']['hits'][number]) {
  return { drum: hit.drum, stroke: hit.stroke, seconds: hit.sample / 48000, velocity: hit.velocity };
}

describe('truth', () => {
  const warm = simulateKit({ ...small, temperatureC: 30, sampleRateHz: 44100 });

  it('has arrivals at the strike plus distance / c, c = 331.3 sqrt(1 + T / 273.15)', () => {
    let worst = 0;
    for (const hit of warm.truth.hits) {
      for (const microphone of microphoneNames) {
        const [x, y, z] = layout.drums[hit.drum].positionMetres;
        const [u, v, w] = layout.microphones[microphone].positionMetres;
        const delay = (Math.hypot(x - u, y - v, z - w) / (331.3 * Math.sqrt(1 + 30 / 273.15))) * 44100;
        worst = Math.max(worst, Math.abs(hit.arrivals[microphone] - hit.sample - delay));
      }
    }
    expect(warm.truth.hits.length).toBeGreaterThan(10);
    expect(worst).toBeLessThan(1e-9);
  });

  it('has the same hits in seconds at every sample rate', () => {
    const difference = warm.truth.hits.map((hit, i) => hit.sample / 44100 - kit.truth.hits[i].sample / 48000);
    expect(Math.max(...difference.map(Math.abs))).toBeLessThan(1e-12);
    expect(warm.truth.hits.map((hit) => hit.velocity)).toEqual(kit.truth.hits.map((hit) => hit.velocity));
  });

  it('is what the stems hold: the same stroke arrives in two microphones as far apart as stated, with the stated signs', () => {
    const one = simulateKit({
      strokes: [{ drum: 'snare', seconds: 0.1 + 0.3 / 48000, velocity: 1 }],
      tailSeconds: 0.5,
      layout: dead,
    });
    const reference = one.stem('snareTop', 'snare');
    for (const microphone of ['snareBottom', 'overheadLeft', 'overheadRight', 'roomLeft', 'kickOut'] as const) {
      const stem = one.stem(microphone, 'snare');
      const expected = one.truth.delaySamples[microphone].snare - one.truth.delaySamples.snareTop.snare;
      const sign = one.truth.polarity[microphone].snare * one.truth.polarity.snareTop.snare;
      // phase of the cross-spectrum at low and high frequencies, read against the stated delay and sign
      for (const hz of [192, 1000, 4000]) {
        const a = transformAt(reference, hz / 48000);
        const b = transformAt(stem, hz / 48000);
        const phase = Math.atan2(sign * (b.im * a.re - b.re * a.im), sign * (b.re * a.re + b.im * a.im));
        const turns = phase / (2 * Math.PI) + (expected * hz) / 48000;
        expect(Math.abs(turns - Math.round(turns)) * (48000 / hz), `${microphone} ${hz} Hz`).toBeLessThan(0.01);
      }
    }
  });

  it('places a stroke between samples: a fraction later is a fraction later in the stem', () => {
    const at = (fraction: number) =>
      simulateKit({
        strokes: [{ drum: 'kick', seconds: (4800 + fraction) / 48000, velocity: 1 }],
        tailSeconds: 0.3,
        layout: dead,
      }).stem('kickIn', 'kick');
    const [a, b] = [at(0), at(0.4)].map((stem) => transformAt(stem, 60 / 48000, 4800));
    const phase = Math.atan2(b.im * a.re - b.re * a.im, b.re * a.re + b.im * a.im);
    expect((-phase / (2 * Math.PI)) * 800).toBeCloseTo(0.4, 2); // 800 samples to a period of 60 Hz
  });

  it('is absolute: a click struck between samples arrives at the stated sample, by its phase, within 0.001', () => {
    const click = simulateKit({
      strokes: [{ drum: 'tom1', seconds: 4800.3 / 48000, velocity: 1 }],
      oneShots: { tom1: [{ velocity: 1, samples: Float64Array.of(1) }] },
      tailSeconds: 0.1,
      layout: dead,
    });
    for (const microphone of microphoneNames) {
      const stem = click.stem(microphone, 'tom1');
      const { tom1: sign } = click.truth.polarity[microphone];
      for (const hz of [100, 1000, 10000]) {
        const { re, im } = transformAt(stem, hz / 48000, click.truth.hits[0].arrivals[microphone]);
        expect(Math.abs(Math.atan2(sign * im, sign * re)) / (2 * Math.PI * (hz / 48000)), microphone).toBeLessThan(
          0.001,
        );
      }
    }
  });

  it('says that the snare faces its bottom microphone with the other side', () => {
    expect(kit.truth.polarity.snareTop.snare).toBe(1);
    expect(kit.truth.polarity.snareBottom.snare).toBe(-1);
    expect(kit.truth.polarity.kickIn.kick * kit.truth.polarity.kickOut.kick).toBe(1);
  });
});

describe('bleed', () => {
  const close = Object.entries(microphoneTargets) as [MicrophoneName, DrumName][];

  /** The definition, measured on one full stroke of every drum. */
  function measuredBleedDb(struck: SimulatedKit, microphone: MicrophoneName, target: DrumName): number {
    const others = drumNames.filter((drum) => drum !== target).map((drum) => peakOf(struck.stem(microphone, drum)));
    return toDb(Math.max(...others) / peakOf(struck.stem(microphone, target)));
  }

  it('is what was asked for at all eight close microphones, within 0.1 dB', () => {
    const errors = close.map(([microphone, target]) => measuredBleedDb(bled, microphone, target) + 12);
    expect(errors).toHaveLength(8);
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.1);
    expect(close.map(([microphone]) => bled.truth.bleedDb[microphone])).toEqual(
      close.map(() => expect.closeTo(-12, 9)),
    );
  });

  it('is stated as it is when distance decides, and at no other microphone', () => {
    for (const [microphone, target] of close) {
      expect(natural.truth.bleedDb[microphone]).toBeCloseTo(measuredBleedDb(natural, microphone, target), 6);
    }
    expect(Object.keys(natural.truth.bleedDb)).toHaveLength(8);
  });

  it('changes only the level of what overheads and rooms hear', () => {
    for (const microphone of ['overheadLeft', 'roomRight'] as const) {
      const [a, b] = [natural, bled].map((struck) => struck.stem(microphone, 'snare'));
      const gain = 10 ** (-6 / 20); // peakDb of -15 instead of -9
      expect(
        largestDifference(
          a.map((sample) => gain * sample),
          b,
        ),
      ).toBeLessThan(1e-12);
    }
  });
});

describe('band limit', () => {
  it.each(['snareTop', 'hat', 'overheadLeft', 'roomRight'] as const)(
    'leaves at least 100 dB less above 20/48 of the sample rate than below, per frequency, in %s',
    (microphone) => {
      const part = kit.microphones[microphone].subarray(12000, 12000 + 16384);
      // Blackman-Harris window: its own side lobes are 92 dB down, so the window is applied twice
      const windowed = part.map((sample, i) => {
        const t = (2 * Math.PI * i) / part.length;
        const w = 0.35875 - 0.48829 * Math.cos(t) + 0.14128 * Math.cos(2 * t) - 0.01168 * Math.cos(3 * t);
        return sample * w * w;
      });
      const level = (cycles: number) => {
        const { re, im } = transformAt(windowed, cycles);
        return Math.hypot(re, im);
      };
      const inside = Math.max(...Array.from({ length: 60 }, (_, i) => level((i + 1) / 150)));
      const outside = Math.max(...Array.from({ length: 40 }, (_, i) => level(20.05 / 48 + (i * 3.9) / 48 / 40)));
      expect(toDb(outside / inside)).toBeLessThan(-100);
    },
  );
});

describe('recorded one-shots', () => {
  const shot = (length: number, frequency: number) =>
    Float64Array.from({ length }, (_, i) => 0.3 * Math.sin(2 * Math.PI * frequency * i) * Math.exp(-i / 2000));
  const oneShots = {
    snare: [
      { velocity: 0.2, samples: shot(9000, 0.004) },
      { velocity: 0.9, samples: shot(9000, 0.01) },
    ],
  };
  const strokes = [
    { drum: 'snare', seconds: 0.1, velocity: 0.25 },
    { drum: 'snare', seconds: 0.6, velocity: 1 },
  ] as const;
  const recorded = simulateKit({ oneShots, strokes, tailSeconds: 0.4 });
  const stem = recorded.stem('snareTop', 'snare');

  it('are picked by velocity: the nearest layer sounds', () => {
    const share = (from: number, cycles: number) => {
      const { re, im } = transformAt(stem.subarray(from, from + 9000), cycles);
      return Math.hypot(re, im);
    };
    expect(share(4800, 0.004)).toBeGreaterThan(10 * share(4800, 0.01));
    expect(share(28800, 0.01)).toBeGreaterThan(10 * share(28800, 0.004));
  });

  it('peak in proportion to the velocity of the stroke', () => {
    const ratio = peakWithin(stem, 28800, 33600) / peakWithin(stem, 4800, 9600);
    expect(Math.abs(toDb(ratio) - toDb(4))).toBeLessThan(1); // two sounds with other reflections under their peaks
  });

  it("leave the caller's samples alone", () => {
    expect(oneShots.snare[0].samples).toEqual(shot(9000, 0.004));
  });
});

describe('an open hat', () => {
  it('is choked by the next stroke on the hat', () => {
    const open = { drum: 'hat', stroke: 'open', seconds: 0.1, velocity: 1 } as const;
    const soft = { drum: 'hat', stroke: 'pedal', seconds: 0.3, velocity: 0.01 } as const;
    const heard = (strokes: NonNullable<SimulateKitOptions['strokes']>) =>
      rmsOf(simulateKit({ strokes, tailSeconds: 0.6, layout: dead }).stem('hat', 'hat').subarray(16800, 19200));
    const free = heard([open, { drum: 'kick', seconds: 0.3, velocity: 0.01 }]);
    expect(toDb(heard([open, soft]) / free)).toBeLessThan(-20);
  });
});

describe('refused', () => {
  const options = (bad: object) => () => simulateKit(bad);

  it.each([
    [{ bars: 0 }, RangeError, 'simulateKit: bars must be 1 to 512, got 0'],
    [{ seed: 1.5 }, RangeError, 'simulateKit: seed must be a whole number from 0 to 4294967295, got 1.5'],
    [{ tempo: 100 }, TypeError, 'simulateKit: tempo is unknown; the nearest name is tempoBpm'],
    [{ bleedDb: 21 }, RangeError, 'simulateKit: bleedDb must be -80 to 20, got 21'],
    [{ strokes: [{ drum: 'snair', seconds: 0, velocity: 1 }] }, TypeError, 'the nearest name is snare'],
    [{ strokes: [{ drum: 'snare', seconds: -1, velocity: 1 }] }, RangeError, 'strokes[0].seconds must be 0 to 86400'],
    [{ strokes: [{ drum: 'snare', seconds: 1, velocity: 0 }] }, RangeError, 'strokes[0].velocity must be 0.001 to 1'],
    [{ oneShots: { kik: [] } }, TypeError, 'the nearest name is kick'],
    [{ oneShots: { kick: [{ velocity: 1, samples: new Float64Array(9) }] } }, RangeError, 'finite and not silent'],
  ] as const)('%o', (bad, kind, message) => {
    expect(options(bad)).toThrow(kind);
    expect(options(bad)).toThrow(message);
  });

  it('a microphone inside a drum, or outside the room', () => {
    const move = (positionMetres: readonly [number, number, number]) => ({
      layout: {
        ...layout,
        microphones: { ...layout.microphones, kickIn: { ...layout.microphones.kickIn, positionMetres } },
      },
    });
    expect(options(move([3.1, 2.2, 0.3]))).toThrow(/distance of kickIn and kick in metres must be 0.02 to 1000, got 0/);
    expect(options(move([3.1, 9, 0.3]))).toThrow(/kickIn.positionMetres\[1\] must be 0 to 7.4, got 9/);
  });

  it('an unknown stem', () => {
    expect(() => kit.stem('snaretop' as MicrophoneName, 'snare')).toThrow(/nearest name is snareTop/);
  });
});
