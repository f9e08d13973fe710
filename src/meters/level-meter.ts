/**
 * Level: sample peak, root mean square, crest factor, DC and clipping of each channel.
 *
 *     rms   = sqrt(mean of x^2)      rmsDb = 20 lg rms: a square wave of full scale is 0, a sine -3.01
 *                                    rmsAes17Db = rmsDb + 3.01: a sine of full scale is 0, a square wave +3.01
 *     crest = peak / rms             a sine 3.01 dB, a square wave 0 dB, drums 10 to 20
 *
 * Both conventions of rms are in use, so a figure without its name says nothing.
 *
 * A clipped run is three or more samples one after the other, of one sign, at 32767/32768 of full scale or above: a sound
 * that merely touches full scale does not stay there (common practice).
 *
 * Source: AES17 for the second convention (from memory).
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import { log10 } from '../core/maths.ts';
import { BLOCK, load, requireFormat, requirePart, requireShape } from '../core/pieces.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';

/** Mean square of a sine of full scale. */
const SINE_POWER = 0.5;
/** Fewest samples of a clipped run. */
const SHORTEST_RUN = 3;

// What the state of a channel holds. RUN: length of the run in progress, negative for one below 0.
const SUM = 0,
  SQUARES = 1,
  PEAK = 2,
  RUN = 3,
  RUNS = 4,
  CLIPPED = 5,
  LONGEST = 6,
  STATE = 7;

/** Figures of one channel. -Infinity stands for silence. */
export interface ChannelLevel {
  /** Largest magnitude, dBFS. */
  readonly samplePeakDb: number;
  /** Root mean square relative to a square wave of full scale. */
  readonly rmsDb: number;
  /** Root mean square relative to a sine of full scale. */
  readonly rmsAes17Db: number;
  /** Peak over root mean square; null for silence. */
  readonly crestDb: number | null;
  /** Mean, as a fraction of full scale. */
  readonly dcOffset: number;
  /** How many runs of clipped samples there are. */
  readonly clippedRuns: number;
  /** Samples in all clipped runs, and in the longest. */
  readonly clippedSamples: number;
  /** Samples of the longest of them. */
  readonly longestClippedRun: number;
}

/** Measures the levels of a stream: seven numbers of memory for each channel. */
export class LevelMeter {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  readonly #x = new Float64Array(BLOCK);
  readonly #states: readonly Float64Array[];
  #samples = 0;
  #nonFinite = 0;

  constructor(format: StreamFormat) {
    this.format = requireFormat('LevelMeter', format);
    this.#states = Array.from({ length: this.format.channels }, () => new Float64Array(STATE));
  }

  /** Takes in `channels[c][start .. end)`: all of the arrays unless given. Samples that are not finite count as 0. */
  process(channels: Channels, start = 0, end: number = channels[0]?.length ?? 0): void {
    requirePart('LevelMeter', requireShape('LevelMeter', 'input', channels, this.format.channels), start, end);
    for (let c = 0; c < this.#states.length; c++) {
      for (let at = start; at < end; at += BLOCK) {
        const count = Math.min(BLOCK, end - at);
        this.#nonFinite += load(channels[c], at, count, this.#x, false);
        addPower(this.#x, count, this.#states[c]);
        countClipped(this.#x, count, this.#states[c]);
      }
    }
    this.#samples += end - start;
  }

  /** Samples of each channel so far. */
  get samples(): number {
    return this.#samples;
  }

  /** Samples that were not finite, or above 1e6 in magnitude, and counted as 0. */
  get nonFiniteSamples(): number {
    return this.#nonFinite;
  }

  /** Figures of each channel. */
  get channelLevels(): ChannelLevel[] {
    const samples = Math.max(1, this.#samples);
    return this.#states.map((state) => ({
      ...levelsOf(state[PEAK], state[SQUARES] / samples),
      dcOffset: state[SUM] / samples,
      clippedRuns: state[RUNS],
      clippedSamples: state[CLIPPED],
      longestClippedRun: state[LONGEST],
    }));
  }

  /** Peak of the loudest channel, root mean square over all channels. */
  get level(): Pick<ChannelLevel, 'samplePeakDb' | 'rmsDb' | 'rmsAes17Db' | 'crestDb'> {
    const squares = this.#states.reduce((sum, state) => sum + state[SQUARES], 0);
    const peak = Math.max(...this.#states.map((state) => state[PEAK]));
    return levelsOf(peak, squares / Math.max(1, this.#samples) / this.#states.length);
  }

  /** Equal to a new meter. */
  reset(): void {
    for (const state of this.#states) state.fill(0);
    this.#samples = this.#nonFinite = 0;
  }
}

function addPower(x: Float64Array, count: number, state: Float64Array): void {
  let sum = state[SUM],
    squares = state[SQUARES],
    peak = state[PEAK];
  for (let i = 0; i < count; i++) {
    const v = x[i],
      magnitude = Math.abs(v);
    sum += v;
    squares += v * v;
    if (magnitude > peak) peak = magnitude;
  }
  state[SUM] = sum;
  state[SQUARES] = squares;
  state[PEAK] = peak;
}

function countClipped(x: Float64Array, count: number, state: Float64Array): void {
  const full = 32767 / 32768;
  if (state[PEAK] < full) return; // nothing has been clipped so far, nor is here
  for (let i = 0; i < count; i++) {
    if (Math.abs(x[i]) < full) {
      state[RUN] = 0;
      continue;
    }
    const run = x[i] > 0 ? Math.max(0, state[RUN]) + 1 : Math.min(0, state[RUN]) - 1,
      length = Math.abs(run);
    state[RUN] = run;
    if (length < SHORTEST_RUN) continue;
    if (length === SHORTEST_RUN) state[RUNS]++;
    state[CLIPPED] += length === SHORTEST_RUN ? SHORTEST_RUN : 1;
    state[LONGEST] = Math.max(state[LONGEST], length);
  }
}

function levelsOf(peak: number, power: number) {
  return {
    samplePeakDb: gainToDb(peak),
    rmsDb: 10 * log10(power),
    rmsAes17Db: 10 * log10(power / SINE_POWER),
    crestDb: power > 0 ? gainToDb(peak) - 10 * log10(power) : null,
  };
}
