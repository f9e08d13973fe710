/**
 * Programme meter: every figure of a finished sound, in one pass.
 *
 *     samples -> loudness, true peak, level, correlation, spectrum -> one plain object
 *
 * The peak-to-loudness ratio is true peak less integrated loudness: what a programme could still be turned up, and, between
 * masters of one piece, how much has been limited away.
 *
 * @module
 */
import type { Channels, StreamFormat } from '../core/processor.ts';
import { type ErbBand, erbBands } from './erb-bands.ts';
import type { ThirdOctaveBand } from '../core/third-octaves.ts';
import { CorrelationMeter } from './correlation.ts';
import { type ChannelLevel, LevelMeter } from './level-meter.ts';
import { type LoudnessFigures, LoudnessMeter } from './loudness.ts';
import { type BandLevel, SpectrumMeter } from './spectrum.ts';
import { TruePeakMeter } from './true-peak.ts';

/** Every figure of a programme. -Infinity stands for silence, null for a ratio that does not exist. */
export interface ProgrammeFigures extends LoudnessFigures {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Samples of each channel. */
  readonly frames: number;
  /** Of the loudest channel. */
  readonly truePeakDb: number;
  /** Largest sample magnitude of any channel, dBFS. */
  readonly samplePeakDb: number;
  /** Over all channels, relative to a square wave and to a sine of full scale. */
  readonly rmsDb: number;
  /** RMS of the whole by AES17: a full-scale sine is 0 dB. */
  readonly rmsAes17Db: number;
  /** Peak over RMS in decibels; null for silence. */
  readonly crestDb: number | null;
  /** True peak less integrated loudness. */
  readonly peakToLoudnessDb: number | null;
  /** Runs of clipped samples, all channels together. */
  readonly clippedRuns: number;
  /** Clipped samples, all channels together. */
  readonly clippedSamples: number;
  /** Samples that are not numbers; they count as silence. */
  readonly nonFiniteSamples: number;
  /** Of two channels, else null. */
  readonly correlation: number | null;
  /** Levels of each channel, and its true peak in dBTP. */
  readonly channelLevels: readonly (ChannelLevel & {
    /** dBTP. */
    readonly truePeakDb: number;
  })[];
  /** Level and width in third-octave bands. */
  readonly thirdOctaves: readonly (ThirdOctaveBand & BandLevel)[];
  /** Level and width in bands of equal rectangular bandwidth. */
  readonly erbBands: readonly (ErbBand & BandLevel)[];
}

/** Measures everything about a stream. Its memory does not grow with the length. */
export class ProgrammeMeter {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  readonly #loudness: LoudnessMeter;
  readonly #truePeak: TruePeakMeter;
  readonly #level: LevelMeter;
  readonly #spectrum: SpectrumMeter;
  readonly #correlation: CorrelationMeter | undefined;

  /** @param weights - of the channels in the loudness: 1 unless given */
  constructor(format: StreamFormat, weights?: readonly number[]) {
    this.#loudness = new LoudnessMeter(format, weights);
    this.format = this.#loudness.format;
    this.#truePeak = new TruePeakMeter(format);
    this.#level = new LevelMeter(format);
    this.#spectrum = new SpectrumMeter(format);
    this.#correlation = this.format.channels === 2 ? new CorrelationMeter(format) : undefined;
  }

  /** Takes in `channels[c][start .. end)`: all of the arrays unless given. Samples that are not finite count as 0. */
  process(channels: Channels, start?: number, end?: number): void {
    this.#loudness.process(channels, start, end);
    this.#truePeak.process(channels, start, end);
    this.#level.process(channels, start, end);
    this.#spectrum.process(channels, start, end);
    this.#correlation?.process(channels, start, end);
  }

  /** Loudness of the last 400 ms, in LUFS, brought up to date every 10 ms. */
  get momentaryLufs(): number {
    return this.#loudness.momentaryLufs;
  }

  /** Loudness of the last 3 s, in LUFS, brought up to date every 10 ms. */
  get shortTermLufs(): number {
    return this.#loudness.shortTermLufs;
  }

  /** All figures of what has been taken in. */
  get figures(): ProgrammeFigures {
    const loudness = this.#loudness.figures;
    const peaksDb = this.#truePeak.channelPeaksDb;
    const channelLevels = this.#level.channelLevels.map((level, c) => ({ ...level, truePeakDb: peaksDb[c] }));
    const truePeakDb = Math.max(...peaksDb);
    const ratioDb = truePeakDb - loudness.integratedLufs;
    return {
      sampleRateHz: this.format.sampleRateHz,
      frames: this.#level.samples,
      ...loudness,
      truePeakDb,
      ...this.#level.level,
      peakToLoudnessDb: Number.isFinite(ratioDb) ? ratioDb : null,
      clippedRuns: channelLevels.reduce((sum, { clippedRuns }) => sum + clippedRuns, 0),
      clippedSamples: channelLevels.reduce((sum, { clippedSamples }) => sum + clippedSamples, 0),
      nonFiniteSamples: this.#level.nonFiniteSamples,
      correlation: this.#correlation?.correlation ?? null,
      channelLevels,
      thirdOctaves: this.#spectrum.levels(),
      erbBands: this.#spectrum.levels(erbBands()),
    };
  }

  /** Equal to a new meter. */
  reset(): void {
    this.#loudness.reset();
    this.#truePeak.reset();
    this.#level.reset();
    this.#spectrum.reset();
    this.#correlation?.reset();
  }
}

/** Every figure of a whole signal. */
export function measureLevels(channels: Channels, sampleRateHz: number, weights?: readonly number[]): ProgrammeFigures {
  const meter = new ProgrammeMeter({ sampleRateHz, channels: channels.length }, weights);
  meter.process(channels);
  return meter.figures;
}
