/**
 * Kits that differ: other drums, other places, other bleed, another tempo and sample rate for every seed, so that what is
 * learnt from some of them is tried on others.
 */
import { Random } from '../../src/core/random.ts';
import { type CymbalSettings, strikeCymbal } from '../../src/simulation/cymbal-voice.ts';
import { defaultKitLayout, type KitLayout } from '../../src/simulation/layout.ts';
import { type MembraneSettings, strikeMembrane } from '../../src/simulation/membrane-voice.ts';
import type { StrokeName } from '../../src/simulation/names.ts';
import type { OneShot, OneShots } from '../../src/simulation/one-shots.ts';
import type { SimulateKitOptions } from '../../src/simulation/simulate-kit.ts';
import { strikeSnare } from '../../src/simulation/snare-voice.ts';
import type { Vector } from '../../src/simulation/vectors.ts';

/** By the last digit of the seed: most are recorded at the usual rates. */
const RATES_HZ = [44100, 48000, 96000, 48000, 44100, 48000, 44100, 48000, 88200, 48000] as const;
const VELOCITIES = [0.3, 0.7, 1];

/** Options of `simulateKit` that follow from a seed: the usual drums, but everything else drawn. */
export function variedKit(seed: number, rateHz = RATES_HZ[seed % 10]): SimulateKitOptions {
  const random = new Random(seed + 7000);
  return {
    seed,
    bars: 8,
    sampleRateHz: rateHz,
    tempoBpm: random.uniform(80, 150),
    velocitySpread: random.uniform(0.03, 0.15),
    layout: variedLayout(random),
    ...(seed % 2 === 1 && { bleedDb: random.uniform(-18, -6) }),
  };
}

/** The same with drums of other sizes, tunings, dampings and metals. */
export function foreignKit(seed: number): SimulateKitOptions {
  const options = variedKit(seed, 48000);
  return { ...options, oneShots: foreignDrums(new Random(seed + 9000), 48000) };
}

/** Every drum and distant microphone somewhere else: by 8 cm, close microphones by 2 cm beside their drum, rooms by 80 cm. */
function variedLayout(random: Random): KitLayout {
  const { room, drums, microphones } = defaultKitLayout();
  const by = (metres: number): Vector => [0, 1, 2].map(() => random.uniform(-metres, metres)) as unknown as Vector;
  const add = (a: Vector, b: Vector): Vector => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
  const moved = Object.fromEntries(
    Object.entries(drums).map(([name, place]) => {
      const way = by(0.04);
      return [name, { way, place: { ...place, positionMetres: add(place.positionMetres, way) } }];
    }),
  );
  const follow: Record<string, string> = { kickIn: 'kick', kickOut: 'kick', snareTop: 'snare', snareBottom: 'snare' };
  return {
    room,
    drums: Object.fromEntries(Object.entries(moved).map(([name, { place }]) => [name, place])) as KitLayout['drums'],
    microphones: Object.fromEntries(
      Object.entries(microphones).map(([name, place]) => {
        const drum = moved[follow[name] ?? name];
        const own = drum ? add(drum.way, by(0.015)) : by(name.startsWith('room') ? 0.5 : 0.15);
        return [name, { ...place, positionMetres: add(place.positionMetres, own) }];
      }),
    ) as KitLayout['microphones'],
  };
}

function foreignDrums(random: Random, rateHz: number): OneShots {
  const one = (strike: (velocity: number, random: Random) => Float64Array, stroke: StrokeName = 'normal'): OneShot[] =>
    VELOCITIES.map((velocity) => ({
      velocity,
      stroke,
      samples: strike(velocity, new Random(random.next() * 2 ** 32)),
    }));
  const scale = (x: number, spread = 1.4) => x * spread ** random.uniform(-1, 1);
  const head = (settings: MembraneSettings) => one((velocity, r) => strikeMembrane(settings, rateHz, velocity, r));
  const cymbal = (settings: CymbalSettings, stroke?: StrokeName) =>
    one((velocity, r) => strikeCymbal(settings, rateHz, velocity, r), stroke);
  const click = (centreHz: number, amplitude: number) => [
    {
      centreHz: scale(centreHz),
      widthHz: centreHz / 1.2,
      amplitude: scale(amplitude, 2),
      riseSeconds: 0.0003,
      decaySeconds: 0.025,
    },
  ];
  const floorHz = random.uniform(65, 105);
  const membrane = (fundamentalHz: number, decaySeconds: number, contactMs: number): MembraneSettings => ({
    fundamentalHz,
    strikeRadius: random.uniform(0.1, 0.4),
    decaySeconds: scale(decaySeconds, 1.6),
    lossPerHz: scale(0.012, 1.8),
    contactMs: scale(contactMs),
    bendRatio: random.uniform(0.02, 0.25),
    bendMs: random.uniform(15, 80),
    click: click(3500, 0.3),
  });
  const wires = {
    amplitude: scale(0.5, 1.6),
    slack: 0.004,
    followMs: scale(12, 2),
    bandsHz: [
      [3200, 2200],
      [5200, 3000],
      [8200, 4000],
    ] as const,
  };
  const snare = { ...membrane(random.uniform(160, 240), 0.3, 0.6) };
  const metal = (lowestHz: number, decaySeconds: number, ring: number): CymbalSettings => ({
    partials: 28,
    lowestHz: scale(lowestHz),
    spacingHz: scale(300),
    ring: scale(ring, 1.5),
    washHz: [scale(1800), 14200],
    brightestHz: scale(7500, 1.25),
    decaySeconds: scale(decaySeconds, 1.5),
    decaySlope: random.uniform(0.2, 0.45),
    riseMs: random.uniform(0.5, 4),
    contactMs: 0.06,
    casting: Math.floor(random.uniform(0, 1e6)),
  });
  const hatHz = random.uniform(900, 2000);
  return {
    kick: head(membrane(random.uniform(45, 72), 0.45, 3)),
    snare: one((velocity, r) => strikeSnare(snare, wires, rateHz, velocity, r)),
    tom1: head(membrane(floorHz * random.uniform(1.3, 1.8), 0.8, 1)),
    tom2: head(membrane(floorHz, 1.1, 1.2)),
    hat: [
      ...cymbal(metal(hatHz, 0.18, 0.5)),
      ...cymbal(metal(hatHz / 2, 1.2, 0.6), 'open'),
      ...cymbal(metal(hatHz, 0.14, 0.4), 'pedal'),
    ],
    ride: cymbal(metal(450, 1.8, 1.5)),
    crashLeft: cymbal(metal(500, 2.4, 0.5)),
    crashRight: cymbal(metal(400, 3, 0.5)),
  };
}
