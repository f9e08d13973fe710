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
  readonly channels: number;
  readonly frames: number;
  /** Over all channels, in dBFS; null for silence. */
  readonly peakDb: number | null;
  readonly rmsDb: number | null;
  /** Largest mean of a channel, in magnitude. */
  readonly dcOffset: number;
  /** Runs of three or more samples at full scale, and the samples in them. */
  readonly clippedRuns: number;
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
  readonly #meter: LevelMeter;
  #measuredTo = 0;

  constructor(source: MixInput) {
    const { sampleRateHz, channels, frames } = source;
    this.sampleRateHz = sampleRateHz;
    this.channels = channels;
    this.frames = frames;
    this.#source = source;
    this.#meter = new LevelMeter({ sampleRateHz, channels });
  }

  read(start: number, into: Float64Array[], count: number): number {
    const got = this.#source.read(start, into, count);
    const first = Math.max(0, this.#measuredTo - start);
    if (first < got) {
      this.#meter.process(into, first, got);
      this.#measuredTo = start + got;
    }
    return got;
  }

  /** Figures of all that has been read. */
  get levels(): InputLevels {
    const { samplePeakDb, rmsDb } = this.#meter.level;
    const channels = this.#meter.channelLevels;
    const sum = (figure: 'clippedRuns' | 'clippedSamples') =>
      channels.reduce((total, level) => total + level[figure], 0);
    return {
      channels: this.channels,
      frames: this.#meter.samples,
      peakDb: Number.isFinite(samplePeakDb) ? samplePeakDb : null,
      rmsDb: Number.isFinite(rmsDb) ? rmsDb : null,
      dcOffset: channels.reduce((most, level) => Math.max(most, Math.abs(level.dcOffset)), 0),
      clippedRuns: sum('clippedRuns'),
      clippedSamples: sum('clippedSamples'),
      nonFiniteSamples: this.#meter.nonFiniteSamples,
    };
  }
}
