/**
 * Phase rotation: the all-pass that makes two microphones add up in the lows where no delay can, because they heard the
 * drum through different resonances.
 *
 *     P = P_a + P_b + 2 s Re( sum over f of conj(A) B H ),    H = all-pass of a frequency and Q,   s = 1 or -1
 *
 * Either microphone may be turned; turning the reference puts conj(H) in the place of H. The best setting is looked for
 * on a grid, then between its points.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { cos, exp2, log2, log10, sin } from '../core/maths.ts';
import type { Samples, SampleSource } from '../core/sample-source.ts';
import { allpass } from '../filters/biquad-design.ts';
import { frequencyResponse } from '../filters/response.ts';
import { cleanSource } from './clean-source.ts';
import { requireHits } from './places.ts';
import { binShares, binWidthHz, forEachStretch } from './segment-spectra.ts';

/** Where to look for a rotation. */
export interface PhaseRotationOptions {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Band whose sum shall gain; 50 to 300 Hz unless given. */
  readonly fromHz?: number | undefined;
  /** Upper edge of the band that is summed, in hertz. */
  readonly toHz?: number | undefined;
  /** Positions of hits around which to look, 0 to the end of the longer microphone; the whole take unless given. */
  readonly hits?: readonly number[] | undefined;
}

/** An all-pass and what it brings. */
export interface PhaseRotation {
  /** Which of the two is turned: the first or the second. */
  readonly microphone: 'reference' | 'other';
  /** Where the all-pass turns the phase by half its range, in hertz. */
  readonly frequencyHz: number;
  /** Quality of the all-pass: how narrow the turn is. */
  readonly q: number;
  /** -1: that microphone is inverted as well. */
  readonly polarity: 1 | -1;
  /** Level of the band in the sum, with the rotation against without. */
  readonly gainDb: number;
  /** What the band's sum still lacks of the fullest that the levels allow. */
  readonly lossDb: number;
}

/** Steps of the grid: frequencies from 20 to 2000 Hz, qualities from 0.2 to 5. */
const FREQUENCIES = 31;
const QUALITIES = 9;
/** Halvings of the step around the best point of the grid. */
const HALVINGS = 12;

/**
 * Looks for the all-pass under which the sum of two microphones has the most level in a band.
 *
 * @throws RangeError for a sample rate, a band or a hit out of range, TypeError for a wrong type
 */
export function searchPhaseRotation(
  reference: Samples | SampleSource,
  other: Samples | SampleSource,
  options: PhaseRotationOptions,
): PhaseRotation {
  const { sampleRateHz, fromHz = 50, toHz = 300, hits } = options;
  requireRange('searchPhaseRotation: sampleRateHz', sampleRateHz, 8000, 1e6);
  requireRange('searchPhaseRotation: fromHz', fromHz, 1, 1000);
  requireRange('searchPhaseRotation: toHz', toHz, fromHz, 2000);
  const a = cleanSource(reference),
    b = cleanSource(other);
  if (hits) requireHits('searchPhaseRotation: hits', hits, Math.max(a.frames, b.frames));
  const pair = crossSpectrum(a, b, options, fromHz, toHz);
  const plain = pair.powerOf(undefined, 1, 1);

  let best = { microphone: 'other' as PhaseRotation['microphone'], polarity: 1 as 1 | -1, x: 0, y: 0, power: -1 };
  const consider = (candidate: Omit<typeof best, 'power'>): boolean => {
    const { x, y, microphone, polarity } = candidate;
    if (x < 0 || x > 1 || y < 0 || y > 1) return false;
    const power = pair.powerOf(
      { frequencyHz: frequencyAt(x), q: qualityAt(y) },
      microphone === 'other' ? 1 : -1,
      polarity,
    );
    if (power <= best.power) return false;
    best = { ...candidate, power };
    return true;
  };
  for (const microphone of ['other', 'reference'] as const) {
    for (const polarity of [1, -1] as const) {
      for (let i = 0; i < FREQUENCIES * QUALITIES; i++) {
        const x = (i % FREQUENCIES) / (FREQUENCIES - 1),
          y = Math.floor(i / FREQUENCIES) / (QUALITIES - 1);
        consider({ microphone, polarity, x, y });
      }
    }
  }
  let dx = 1 / FREQUENCIES,
    dy = 1 / QUALITIES;
  for (let halving = 0; halving < HALVINGS; halving++) {
    while (
      [-1, 0, 1].some((i) => [-1, 0, 1].some((j) => consider({ ...best, x: best.x + i * dx, y: best.y + j * dy })))
    );
    dx /= 2;
    dy /= 2;
  }
  const { microphone, polarity, x, y, power } = best;
  return {
    microphone,
    polarity,
    frequencyHz: frequencyAt(x),
    q: qualityAt(y),
    gainDb: plain > 0 ? 10 * log10(power / plain) : 0,
    lossDb: power > 0 ? Math.max(0, 10 * log10(pair.fullest / power)) : 0,
  };
}

/** 20 to 2000 Hz for 0 to 1. */
function frequencyAt(x: number): number {
  return 20 * exp2(x * log2(100));
}

/** 0.2 to 5 for 0 to 1. */
function qualityAt(y: number): number {
  return 0.2 * exp2(y * log2(25));
}

interface CrossSpectrum {
  /** Power of the sum with the all-pass on the second microphone (`side` 1) or on the first (-1). */
  powerOf(setting: { frequencyHz: number; q: number } | undefined, side: 1 | -1, polarity: 1 | -1): number;
  /** Power if both were in phase at every frequency alike. */
  readonly fullest: number;
}

function crossSpectrum(
  a: SampleSource,
  b: SampleSource,
  { sampleRateHz, hits }: PhaseRotationOptions,
  fromHz: number,
  toHz: number,
): CrossSpectrum {
  const stretches = { sampleRateHz, hits };
  const widthHz = binWidthHz(stretches);
  const { first, shares } = binShares({ fromHz, toHz }, widthHz);
  const re = new Float64Array(shares.length),
    im = new Float64Array(shares.length);
  let powerA = 0,
    powerB = 0;
  forEachStretch([a, b], stretches, ([A, B]) => {
    for (let i = 0; i < shares.length; i++) {
      const k = first + i,
        share = shares[i];
      powerA += share * (A.re[k] * A.re[k] + A.im[k] * A.im[k]);
      powerB += share * (B.re[k] * B.re[k] + B.im[k] * B.im[k]);
      re[i] += share * (A.re[k] * B.re[k] + A.im[k] * B.im[k]);
      im[i] += share * (A.re[k] * B.im[k] - A.im[k] * B.re[k]);
    }
  });
  const frequenciesHz = shares.map((_, i) => (first + i) * widthHz);
  const both = Math.sqrt(powerA) + Math.sqrt(powerB);
  return {
    fullest: both * both,
    powerOf(setting, side, polarity) {
      const sections = setting ? [allpass({ sampleRateHz, ...setting })] : [];
      const { phaseRadians } = frequencyResponse(sections, { sampleRateHz, frequenciesHz });
      let cross = 0;
      for (let i = 0; i < re.length; i++) cross += re[i] * cos(phaseRadians[i]) - side * im[i] * sin(phaseRadians[i]);
      return powerA + powerB + 2 * polarity * cross;
    },
  };
}
