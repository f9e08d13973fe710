/**
 * Metered input: a recording that is measured while it is read for the first time.
 *
 * Readers come back to frames that they have had, and several may read one recording; every frame counts once.
 *
 * @module
 */
import { LevelMeter } from '../meters/level-meter.ts';
import type { MixInput } from './input-reader.ts';

/** What a recording is like. */
export interface InputLevels {
  /** Number of channels. */
  readonly channels: number;
  /** Frames that were read. */
  readonly frames: number;
  /** Largest magnitude, in dBFS; null for silence. */
  readonly peakDb: number | null;
  /** Root mean square over all channels, relative to a square wave of full scale, in dBFS; null for silence. */
  readonly rmsDb: number | null;
  /** Largest mean of a channel, in magnitude. */
  readonly dcOffset: number;
  /** Runs of three or more samples at full scale. */
  readonly clippedRuns: number;
  /** Samples in these runs. */
  readonly clippedSamples: number;
  /** Samples that were not finite or above 1e6, and count as 0. */
  readonly nonFiniteSamples: number;
}

/** Measures a recording on its way. */
export class MeteredInput implements MixInput {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly frames: number;
  readonly #source: MixInput;
  #meter: LevelMeter | undefined; // from the first reading on: who reads has checked the format
  #measuredTo = 0;

  constructor(source: MixInput) {
    const { sampleRateHz, channels, frames } = source;
    this.sampleRateHz = sampleRateHz;
    this.channels = channels;
    this.frames = frames;
    this.#source = source;
  }

  read(start: number, into: Float64Array[], count: number): number {
    const got = this.#source.read(start, into, count);
    const first = Math.max(0, this.#measuredTo - start);
    if (first < got) {
      this.#meter ??= new LevelMeter({ sampleRateHz: this.sampleRateHz, channels: this.channels });
      this.#meter.process(into, first, got);
      this.#measuredTo = start + got;
    }
    return got;
  }

  /** Figures of all that has been read. */
  get levels(): InputLevels {
    const { samplePeakDb = NaN, rmsDb = NaN } = this.#meter?.level ?? {};
    const channels = this.#meter?.channelLevels ?? [];
    const sum = (figure: 'clippedRuns' | 'clippedSamples') =>
      channels.reduce((total, level) => total + level[figure], 0);
    return {
      channels: this.channels,
      frames: this.#meter?.samples ?? 0,
      peakDb: Number.isFinite(samplePeakDb) ? samplePeakDb : null,
      rmsDb: Number.isFinite(rmsDb) ? rmsDb : null,
      dcOffset: channels.reduce((most, level) => Math.max(most, Math.abs(level.dcOffset)), 0),
      clippedRuns: sum('clippedRuns'),
      clippedSamples: sum('clippedSamples'),
      nonFiniteSamples: this.#meter?.nonFiniteSamples ?? 0,
    };
  }
}
