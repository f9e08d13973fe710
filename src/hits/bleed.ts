/**
 * Bleed: which of the onsets in a microphone are another drum's.
 *
 *     score = mean over the best octaves of  10 lg ( E_a / (sum over b of c_ab E_b + floor_a) )         dB
 *
 * E_a is what a moment adds to microphone a, by octaves (`RiseEnergies`). c_ab, the coupling, is how much of drum b reaches
 * microphone a relative to its own microphone: distances, directions and gains, all in one number for each octave,
 * learned from the recording. A drum's own hits are those within 8 dB of the loudest onset in its microphone which that hears first;
 * c_ab is the 35th percentile of E_a / E_b over the own hits of b, since at some of them a is struck as well. The floor is
 * the usual own hit less `softestDb`. A score of 0 means: all of this can be bleed. A drum without own hits has not been played.
 *
 * Source: hits that one microphone dominates, as the way to learn what leaks: E. K. Kokkinis, J. D. Reiss,
 * J. Mourjopoulos, "A Wiener Filter Approach to Microphone Leakage Reduction in Close-Microphone Applications", IEEE
 * Trans. Audio, Speech, and Language Processing 20(3), 2012 (idea, from memory); the score is ours.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { log10 } from '../core/maths.ts';
import type { Onset } from './onset-detector.ts';

/** An onset in one of several microphones. */
export interface Candidate extends Onset {
  /** Index of the microphone in which it was found. */
  readonly microphone: number;
  /** What the moment adds to every microphone, by octaves. */
  readonly energies: readonly Float64Array[];
}

/** What is to be known of a microphone. */
export interface Listener {
  /** All onsets found in it. */
  readonly candidates: readonly Candidate[];
  /** Octaves in which its drum sounds, by their index. */
  readonly octaves: readonly number[];
  /** Softest hit of its drum relative to the usual one. */
  readonly softestDb: number;
}

/** How a candidate fares. */
export interface Verdict {
  /** How far it stands above what bleed, and the floor, explain. */
  readonly scoreDb: number;
  /** No other microphone has heard anything shortly before. */
  readonly first: boolean;
  /** Whether the drum of this microphone has been played at all. */
  readonly played: boolean;
  /** The microphone whose drum explains most of it; undefined where its own floor does. */
  readonly culprit: number | undefined;
  /** How much sooner that microphone has heard something, within 12 ms; negative for later, undefined for not at all. */
  readonly leadSamples: number | undefined;
}

const AHEAD_SECONDS = 0.012; // sound crosses a kit in less
const SIMULTANEOUS_SECONDS = 0.00015; // first rises are no more exact
const OWN_DB = 8;
const OWN_SHARE = 0.2; // of the loud onsets: where a drum is not played, what is loud is bleed, and hardly ever first
const COUPLING_QUANTILE = 0.35;
const NOTHING_DB = -200; // score where the drum has not been played
const BEST_SHARE = 0.7; // of the octaves count: bleed masks some

/** What the microphones of a recording hear of each other's drums. */
export class BleedModel {
  readonly #listeners: readonly Listener[];
  readonly #sampleRateHz: number;
  readonly #times: readonly Float64Array[]; // of the candidates of each microphone, sorted
  readonly #usual: readonly Float64Array[]; // energies of a usual own hit, by microphone and octave
  readonly #coupling: readonly (readonly Float64Array[])[]; // [a][b], by octave

  constructor(listeners: readonly Listener[], sampleRateHz: number) {
    this.#listeners = listeners;
    this.#sampleRateHz = sampleRateHz;
    this.#times = listeners.map(({ candidates }) => Float64Array.from(candidates, ({ sample }) => sample).sort());
    const own = listeners.map(({ candidates }) => this.#ownOf(candidates));
    const octaves = listeners.flatMap(({ candidates }) => candidates)[0]?.energies[0].length ?? 0;
    const over = (
      hits: readonly Candidate[],
      share: number,
      value: (energies: Candidate['energies'], i: number) => number,
    ) =>
      Float64Array.from({ length: octaves }, (_, i) =>
        quantile(
          hits.map(({ energies }) => value(energies, i)),
          share,
        ),
      );
    this.#usual = own.map((hits, a) => over(hits, 0.5, (energies, i) => energies[a][i]));
    this.#coupling = own.map((_, a) =>
      own.map((hits, b) =>
        over(a === b ? [] : hits, COUPLING_QUANTILE, (energies, i) => energies[a][i] / energies[b][i]),
      ),
    );
  }

  /** A candidate of the microphones that the model was made of. */
  judge(candidate: Candidate): Verdict {
    const { microphone: a, energies } = candidate;
    const { octaves, softestDb } = this.#listeners[a];
    const usual = this.#usual[a];
    if (usual.every((energy) => energy === 0)) {
      return { scoreDb: NOTHING_DB, first: false, played: false, culprit: undefined, leadSamples: undefined };
    }
    const floor = dbToGain(2 * softestDb); // of a power
    const blame = energies.map(() => 0); // relative to the usual hit, as the floor is
    const scores = octaves.map((octave) => {
      let explained = floor * usual[octave];
      this.#coupling[a].forEach((coupling, b) => {
        const bleed = coupling[octave] * energies[b][octave];
        explained += bleed;
        blame[b] += bleed / usual[octave];
      });
      return 10 * log10(energies[a][octave] / explained);
    });
    const best = scores.sort((x, y) => y - x).slice(0, Math.ceil(BEST_SHARE * scores.length));
    const worst = blame.reduce((most, share, b) => (share > blame[most] ? b : most), 0);
    const culprit = blame[worst] > floor * octaves.length ? worst : undefined;
    return {
      scoreDb: best.reduce((sum, score) => sum + score, 0) / best.length,
      first: this.#isFirst(candidate),
      played: true,
      culprit,
      leadSamples: culprit === undefined ? undefined : this.#lead(culprit, candidate.sample),
    };
  }

  /** The loudest candidates that are heard first; none if there are so few that chance will have made them first. */
  #ownOf(candidates: readonly Candidate[]): Candidate[] {
    const loudest = candidates.reduce((most, { velocityDb }) => Math.max(most, velocityDb), -Infinity);
    const loud = candidates.filter(({ velocityDb }) => velocityDb > loudest - OWN_DB);
    const first = loud.filter((candidate) => this.#isFirst(candidate));
    return first.length >= OWN_SHARE * loud.length ? first : [];
  }

  #isFirst({ microphone, sample }: Candidate): boolean {
    const from = sample - AHEAD_SECONDS * this.#sampleRateHz;
    const to = sample - SIMULTANEOUS_SECONDS * this.#sampleRateHz;
    return this.#times.every((times, b) => b === microphone || !(times[firstFrom(times, from)] < to));
  }

  /** How much sooner than `sample` a microphone has its nearest onset. */
  #lead(microphone: number, sample: number): number | undefined {
    const times = this.#times[microphone];
    const next = firstFrom(times, sample);
    const leads = [times[next - 1], times[next]].map((time) => sample - time); // NaN beyond the ends
    const near = leads.filter((lead) => Math.abs(lead) < AHEAD_SECONDS * this.#sampleRateHz);
    return near.sort((x, y) => Math.abs(x) - Math.abs(y))[0];
  }
}

/** Index of the first of sorted times that is not before `time`. */
function firstFrom(times: Float64Array, time: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] < time) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The value below which a share of the values lies; 0 of none. */
function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((x, y) => x - y);
  return sorted[Math.floor(share * sorted.length)] ?? 0;
}
