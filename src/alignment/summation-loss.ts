/**
 * Summation loss: how much level is lost where microphones are summed, because what they heard does not meet in phase.
 *
 *     loss = 20 lg( sum over i of sqrt(P_i) ) - 10 lg P,    P_i = power of microphone i in a band,  P = power of the sum
 *
 * 0 dB is the fullest sum that these levels allow: all in phase. Two microphones of one level lose 3 dB when they have
 * nothing in common, 6 dB at a phase of 120 degrees, and everything at 180.
 *
 * Source: the Cauchy-Schwarz inequality bounds P from above, with equality for signals that are copies of each other.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { dbToGain } from '../core/decibels.ts';
import { member, requireMembers } from '../core/json-check.ts';
import { log10 } from '../core/maths.ts';
import type { Samples, SampleSource } from '../core/sample-source.ts';
import { type FrequencyBand, type ThirdOctaveBand, thirdOctaveBands } from '../core/third-octaves.ts';
import { movedSource } from './apply-alignment.ts';
import { cleanSource } from './clean-source.ts';
import { type AlignmentMoves, leadOf, moveOf, NO_MOVE, requireMoves } from './moves.ts';
import { requireHits } from './places.ts';
import { binShares, binWidthHz, forEachStretch, type Spectrum, type Stretches } from './segment-spectra.ts';

/** Loss in one band, in dB; 0 or more, Infinity where everything cancels, 0 where nothing sounds. */
export interface BandLoss extends FrequencyBand {
  /** As the microphones are. */
  readonly beforeDb: number;
  /** After the moves. */
  readonly afterDb: number;
}

/** What is lost where microphones are summed. */
export interface SummationLoss {
  /** Third-octave bands with what is lost in each. */
  readonly bands: readonly (BandLoss & ThirdOctaveBand)[];
  /** 100 to 300 Hz: the body of a snare. */
  readonly low: BandLoss;
  /** Everything. */
  readonly mono: BandLoss;
}

/** How the sum is looked at. */
export interface SummationLossOptions {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** What happens to the microphones; nothing unless given. */
  readonly moves?: AlignmentMoves | undefined;
  /** Faders, -Infinity to 60 dB, by the names of the microphones; 0 unless given. */
  readonly gainsDb?: Readonly<Record<string, number>> | undefined;
  /** Positions of hits around which to look, 0 to the end of the longest microphone; the whole take unless given. */
  readonly hits?: readonly number[] | undefined;
}

const HIGHEST_FADER_DB = 60;
/** Lowest and highest third-octave bands. */
const LOWEST_HZ = 25;
const HIGHEST_HZ = 20_000;
const LOW_BAND: FrequencyBand = { fromHz: 100, toHz: 300 };

/**
 * Measures what is lost in each third-octave band, in the low band and in all.
 *
 * @throws TypeError for a move or a fader of a microphone that is not there, or a wrong type; RangeError for moves, faders or
 *   hits that cannot be, and for a sample rate out of range
 */
export function summationLoss(
  microphones: Readonly<Record<string, Samples | SampleSource>>,
  options: SummationLossOptions,
): SummationLoss {
  const { sampleRateHz, moves = {}, gainsDb = {}, hits } = options;
  requireRange('summationLoss: sampleRateHz', sampleRateHz, 1000, 1e6);
  const names = Object.keys(microphones);
  requireMoves('summationLoss', moves, names);
  requireMembers('summationLoss: gainsDb', gainsDb, names);
  const gains = names.map((name) =>
    dbToGain(requireRange(member('summationLoss: gainsDb', name), gainsDb[name] ?? 0, -Infinity, HIGHEST_FADER_DB)),
  );
  const sources = names.map((name) => cleanSource(microphones[name]));
  if (hits) requireHits('summationLoss: hits', hits, Math.max(0, ...sources.map(({ frames }) => frames)));
  const lead = leadOf(moves);
  const powers = (isMoved: boolean) =>
    new BandPowers(
      sources.map((source, m) => movedSource(source, isMoved ? moveOf(moves, names[m]) : NO_MOVE, lead)),
      gains,
      { sampleRateHz, hits: hits?.map((hit) => hit + lead) },
    );
  const before = powers(false);
  const after = Object.keys(moves).length === 0 ? before : powers(true);
  const lossIn = <B extends FrequencyBand>(band: B): B & BandLoss => ({
    ...band,
    beforeDb: before.lossDb(band),
    afterDb: after.lossDb(band),
  });
  const whole = { fromHz: 0, toHz: sampleRateHz / 2 };
  return {
    bands: thirdOctaveBands(LOWEST_HZ, Math.min(HIGHEST_HZ, 0.4 * sampleRateHz)).map(lossIn),
    low: lossIn(LOW_BAND),
    mono: lossIn(whole),
  };
}

/** Powers of microphones and of their sum, bin by bin. */
class BandPowers {
  readonly #single: readonly Float64Array[];
  readonly #sum: Float64Array;
  readonly #widthHz: number;

  constructor(sources: readonly SampleSource[], gains: readonly number[], stretches: Stretches) {
    this.#widthHz = binWidthHz(stretches);
    const bins = Math.round(stretches.sampleRateHz / this.#widthHz / 2) + 1;
    this.#single = sources.map(() => new Float64Array(bins));
    this.#sum = new Float64Array(bins);
    forEachStretch(sources, stretches, (spectra) => {
      this.#add(spectra, gains);
    });
  }

  lossDb(band: FrequencyBand): number {
    const { first, shares } = binShares(band, this.#widthHz);
    const within = (powers: Float64Array) =>
      shares.reduce((sum, share, i) => sum + share * (first + i < powers.length ? powers[first + i] : 0), 0);
    const fullest = this.#single.reduce((sum, powers) => sum + Math.sqrt(within(powers)), 0);
    // Rounding can lift the sum of copies above its bound.
    return fullest === 0 ? 0 : Math.max(0, 20 * log10(fullest) - 10 * log10(within(this.#sum)));
  }

  #add(spectra: readonly Spectrum[], gains: readonly number[]): void {
    for (let k = 0; k < this.#sum.length; k++) {
      let re = 0,
        im = 0;
      for (let m = 0; m < spectra.length; m++) {
        const a = gains[m] * spectra[m].re[k],
          b = gains[m] * spectra[m].im[k];
        re += a;
        im += b;
        this.#single[m][k] += a * a + b * b;
      }
      this.#sum[k] += re * re + im * im;
    }
  }
}
