/**
 * The drums of the kit: one set of figures per drum, and the function that strikes it.
 *
 * Sizes in the comments say what was in mind. Frequencies are those at which such drums are commonly tuned; levels
 * are the peak at 1 m relative to the kick's, as a player balances a kit. All are common practice, none is measured.
 *
 * @module
 */
import type { Random } from '../core/random.ts';
import { type CymbalSettings, strikeCymbal } from './cymbal-voice.ts';
import { type MembraneSettings, strikeMembrane } from './membrane-voice.ts';
import type { DrumName, StrokeName } from './names.ts';
import { strikeSnare, type WireSettings } from './snare-voice.ts';

/** Sound of one stroke at a velocity from 0 to 1, starting at the moment of the blow. */
export type Voice = (sampleRateHz: number, velocity: number, random: Random) => Float64Array;

/** Peak at 1 m of a stroke at velocity 1, relative to the kick. */
export const drumLevelsDb: Readonly<Record<DrumName, number>> = {
  kick: 0,
  snare: 0,
  hat: -6,
  tom1: -2,
  tom2: -2,
  ride: -7,
  crashLeft: -3,
  crashRight: -3,
};

/** The voice of a drum played with a stroke. */
export function voiceOf(drum: DrumName, stroke: StrokeName): Voice {
  switch (drum) {
    case 'kick':
    case 'tom1':
    case 'tom2':
      return (sampleRateHz, velocity, random) => strikeMembrane(HEADS[drum], sampleRateHz, velocity, random);
    case 'snare':
      return (sampleRateHz, velocity, random) => strikeSnare(HEADS.snare, WIRES, sampleRateHz, velocity, random);
    default: {
      const cymbal = drum === 'hat' ? HATS[stroke] : CYMBALS[drum];
      return (sampleRateHz, velocity, random) => strikeCymbal(cymbal, sampleRateHz, velocity, random);
    }
  }
}

const HEADS: Readonly<Record<'kick' | 'snare' | 'tom1' | 'tom2', MembraneSettings>> = {
  // 22 inch, felt beater near the centre, damped by a pillow
  kick: {
    fundamentalHz: 58,
    strikeRadius: 0.08,
    decaySeconds: 0.5,
    lossPerHz: 0.03,
    contactMs: 3,
    bendRatio: 0.35,
    bendMs: 18,
    click: [{ centreHz: 3200, widthHz: 2400, amplitude: 0.4, riseSeconds: 0.0004, decaySeconds: 0.03 }],
  },
  // 14 x 6 inch, wood shell
  snare: {
    fundamentalHz: 192,
    strikeRadius: 0.3,
    decaySeconds: 0.32,
    lossPerHz: 0.01,
    contactMs: 0.6,
    bendRatio: 0.04,
    bendMs: 25,
    click: [{ centreHz: 4200, widthHz: 4000, amplitude: 0.3, riseSeconds: 0.0002, decaySeconds: 0.02 }],
  },
  // 12 x 8 inch, rack
  tom1: {
    fundamentalHz: 138,
    strikeRadius: 0.35,
    decaySeconds: 0.8,
    lossPerHz: 0.008,
    contactMs: 1,
    bendRatio: 0.08,
    bendMs: 60,
    click: [{ centreHz: 3500, widthHz: 3000, amplitude: 0.25, riseSeconds: 0.0002, decaySeconds: 0.025 }],
  },
  // 16 x 16 inch, floor
  tom2: {
    fundamentalHz: 93,
    strikeRadius: 0.35,
    decaySeconds: 1.1,
    lossPerHz: 0.008,
    contactMs: 1.2,
    bendRatio: 0.08,
    bendMs: 70,
    click: [{ centreHz: 3000, widthHz: 2500, amplitude: 0.25, riseSeconds: 0.0002, decaySeconds: 0.025 }],
  },
};

const WIRES: WireSettings = {
  amplitude: 0.55,
  slack: 0.004,
  followMs: 12,
  bandsHz: [
    [3200, 2200],
    [5200, 3000],
    [8200, 4000],
  ],
};

// 14 inch, by stroke: closed by the foot, open and free, closed by the foot without a stick
const HATS: Readonly<Record<StrokeName, CymbalSettings>> = {
  normal: {
    partials: 24,
    lowestHz: 1800,
    spacingHz: 420,
    ring: 0.5,
    washHz: [2500, 14200],
    brightestHz: 8000,
    decaySeconds: 0.18,
    decaySlope: 0.2,
    riseMs: 0.5,
    contactMs: 0.05,
    casting: 14,
  },
  open: {
    partials: 32,
    lowestHz: 900,
    spacingHz: 320,
    ring: 0.6,
    washHz: [1770, 14200],
    brightestHz: 7000,
    decaySeconds: 1.3,
    decaySlope: 0.3,
    riseMs: 2,
    contactMs: 0.05,
    casting: 14,
  },
  pedal: {
    partials: 16,
    lowestHz: 1200,
    spacingHz: 420,
    ring: 0.4,
    washHz: [1770, 10000],
    brightestHz: 4500,
    decaySeconds: 0.14,
    decaySlope: 0.3,
    riseMs: 2,
    contactMs: 0.09,
    casting: 14,
  },
};

const CYMBALS: Readonly<Record<'ride' | 'crashLeft' | 'crashRight', CymbalSettings>> = {
  // 20 inch: a clear ping over a low wash
  ride: {
    partials: 28,
    lowestHz: 420,
    spacingHz: 260,
    ring: 1.5,
    washHz: [1770, 14200],
    brightestHz: 7500,
    decaySeconds: 1.8,
    decaySlope: 0.4,
    riseMs: 1.5,
    contactMs: 0.06,
    casting: 20,
  },
  // 16 inch: bright and short
  crashLeft: {
    partials: 32,
    lowestHz: 500,
    spacingHz: 230,
    ring: 0.5,
    washHz: [1250, 14200],
    brightestHz: 8000,
    decaySeconds: 2.4,
    decaySlope: 0.35,
    riseMs: 4,
    contactMs: 0.05,
    casting: 16,
  },
  // 18 inch: darker and longer
  crashRight: {
    partials: 32,
    lowestHz: 380,
    spacingHz: 200,
    ring: 0.5,
    washHz: [1250, 14200],
    brightestHz: 7000,
    decaySeconds: 3,
    decaySlope: 0.35,
    riseMs: 5,
    contactMs: 0.05,
    casting: 18,
  },
};
