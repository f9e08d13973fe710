/**
 * What to expect of a microphone by its class: a naive Bayes classifier in one table.
 *
 *     cost of a class = sum over figures of  min( (x - expected)^2 / (2 spread^2), 8 ) + ln spread
 *
 * that is, the negative logarithm of the likelihood if the figures were independent and normal. The limit of 8 lets no
 * single figure (a tom with a rattle, a room microphone that is moved) decide against all others.
 *
 * Sources: distances and so lags, fundamentals and decays are common practice (kicks 45 to 80 Hz, toms 65 to 190 Hz, snares
 * 150 to 270 Hz; overheads 0.7 to 1.5 m above, rooms from 2 m); the spreads were widened until every kit of a training set
 * with drawn drums, places and bleed lay within two of them. Naive Bayes: T. Hastie, R. Tibshirani, J. Friedman, "The
 * Elements of Statistical Learning", section 6.6.3.
 *
 * @module
 */
import { log, log2, pow } from '../core/maths.ts';
import type { MicrophoneFigures } from './microphone-figures.ts';

/** What microphones are there for, before sides are told apart. */
export const roleClasses = ['kick', 'snare', 'tom', 'hat', 'ride', 'overhead', 'room'] as const;

export type RoleClass = (typeof roleClasses)[number];

/** A figure on the scale on which its spread is about the same everywhere. */
interface Figure {
  readonly of: (figures: MicrophoneFigures) => number;
  /** The figure in words. */
  readonly text: (figures: MicrophoneFigures) => string;
  /** Expected value and spread by class. */
  readonly expected: Readonly<Record<RoleClass, readonly [value: number, spread: number]>>;
}

/** Most that one figure can cost. */
const MOST = 8;

/** How little each figure speaks for a class: the lower, the likelier. NaN figures cost nothing. */
export function costsOf(figures: MicrophoneFigures, role: RoleClass): number[] {
  return table().map(({ of, expected }) => {
    const value = of(figures),
      [mean, spread] = expected[role];
    if (Number.isNaN(value)) return 0;
    return Math.min(((value - mean) * (value - mean)) / (2 * spread * spread), MOST) + log(spread);
  });
}

/** The figures that speak most for one class against another, in words. */
export function reasonsFor(figures: MicrophoneFigures, role: RoleClass, against: RoleClass, most = 3): string[] {
  const own = costsOf(figures, role),
    other = costsOf(figures, against);
  return table()
    .map(({ text }, i) => ({ text, gain: other[i] - own[i] }))
    .filter(({ gain }) => gain > 0)
    .sort((a, b) => b.gain - a.gain)
    .slice(0, most)
    .map(({ text }) => text(figures));
}

const octaves = (lagMs: number): number => log2(1 + lagMs);

function table(): readonly Figure[] {
  return [
    {
      of: ({ lagMs }) => octaves(lagMs),
      text: ({ lagMs }) =>
        lagMs < 0.05 ? 'hears its drum first' : `hears its drum ${lagMs.toFixed(1)} ms after the first microphone`,
      expected: {
        kick: [0.5, 0.6],
        snare: [0.1, 0.4],
        tom: [0.1, 0.4],
        hat: [0.1, 0.4],
        ride: [0.1, 0.4],
        overhead: [octaves(2.5), 0.6],
        room: [octaves(10), 0.6],
      },
    },
    {
      of: ({ distanceMs }) => octaves(distanceMs),
      text: ({ distanceMs }) => `hears the other drums ${distanceMs.toFixed(1)} ms after the first microphone`,
      expected: {
        kick: [octaves(2.1), 0.35],
        snare: [octaves(1.5), 0.35],
        tom: [octaves(2), 0.35],
        hat: [octaves(2.4), 0.35],
        ride: [octaves(2.8), 0.35],
        overhead: [octaves(4), 0.35],
        room: [octaves(11), 0.5],
      },
    },
    {
      of: ({ opennessDb }) => opennessDb,
      text: ({ opennessDb }) => `other drums at ${opennessDb.toFixed(0)} dB`,
      expected: {
        kick: [-13, 4.5],
        snare: [-18, 6],
        tom: [-15, 5],
        hat: [-15, 5],
        ride: [-11, 4],
        overhead: [-4.5, 2.5],
        room: [-4, 2.5],
      },
    },
    {
      of: ({ lowDb }) => lowDb,
      text: ({ lowDb }) => `${percent(lowDb)} of its energy below 110 Hz`,
      expected: {
        kick: [-2.5, 3],
        snare: [-17, 6],
        tom: [-6, 5],
        hat: [-18, 8],
        ride: [-20, 8],
        overhead: [-10, 8],
        room: [-10, 8],
      },
    },
    {
      of: ({ bodyDb }) => bodyDb,
      text: ({ bodyDb }) => `${percent(bodyDb)} of its energy from 110 Hz to 2 kHz`,
      expected: {
        kick: [-4.5, 3],
        snare: [-5, 3],
        tom: [-2, 2],
        hat: [-13, 5],
        ride: [-13, 5],
        overhead: [-6, 5],
        room: [-6, 5],
      },
    },
    {
      of: ({ highDb }) => highDb,
      text: ({ highDb }) => `${percent(highDb)} of its energy above 2 kHz`,
      expected: {
        kick: [-15, 6],
        snare: [-3, 3],
        tom: [-17, 6],
        hat: [-0.4, 1.5],
        ride: [-0.4, 1.5],
        overhead: [-6, 7],
        room: [-10, 8],
      },
    },
    {
      of: ({ fundamentalHz }) => log2(fundamentalHz),
      text: ({ fundamentalHz }) => `fundamental ${fundamentalHz.toFixed(0)} Hz`,
      expected: {
        kick: [log2(58), 0.35],
        snare: [log2(205), 0.5],
        tom: [log2(110), 0.5],
        hat: [log2(90), 1],
        ride: [log2(90), 1],
        overhead: [log2(90), 1],
        room: [log2(90), 1],
      },
    },
    {
      of: ({ fallDb }) => fallDb,
      text: ({ fallDb }) => `falls ${fallDb.toFixed(0)} dB in 90 ms`,
      expected: {
        kick: [12, 6],
        snare: [23, 8],
        tom: [9, 5],
        hat: [26, 8],
        ride: [5.5, 4],
        overhead: [12, 8],
        room: [9, 6],
      },
    },
    {
      of: ({ share }) => log2(share),
      text: ({ share }) => `its drum has ${(100 * share).toFixed(0)} % of all strokes`,
      expected: {
        kick: [-2, 1.2],
        snare: [-1.7, 1.2],
        tom: [-4, 1.5],
        hat: [-2.2, 1.5],
        ride: [-3.2, 1.5],
        overhead: [-2.7, 2],
        room: [-2.7, 2],
      },
    },
  ];
}

const percent = (db: number): string => {
  const share = 100 * pow(10, db / 10);
  return share < 0.5 ? 'less than 1 %' : `${share.toFixed(0)} %`;
};
