/**
 * Loudness: how loud a programme is at each moment, as a whole with its pauses left out, and how far it ranges.
 *
 *     z_i = mean square of channel i, K-weighted;    l = -0.691 + 10 lg( sum over i of G_i z_i )          LUFS
 *     momentary  M   l over the last 400 ms, short-term  S   l over the last 3 s: every 10 ms
 *     integrated I   l of the mean power of the 400 ms blocks, one every 100 ms, that are above -70 LUFS and above
 *                    (the loudness of those - 10 LU)
 *     range      LRA 95th - 10th percentile of S, every 100 ms, above -70 LUFS and above (their mean power's l - 20 LU)
 *
 * A window that is not complete does not count. The largest M and S are looked for every 10 ms: on the grid of 100 ms a
 * burst of 400 ms that begins between two blocks reads up to 0.5 LU too low.
 *
 * Source: Recommendation ITU-R BS.1770-5 (11/2023), Annex 1; EBU Tech 3341 (2023), sections 2.1 and 2.2; EBU Tech 3342
 * (2023).
 *
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
import { requireFormat, requirePart, requireShape } from '../core/pieces.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';
import { EnergySteps, LONGEST_WINDOW } from './energy-steps.ts';
import { LoudnessHistogram, loudnessOf } from './loudness-histogram.ts';
import { PunchSum } from './punch-sum.ts';

const BLOCK_STEPS = 40; // 400 ms
const HOP_STEPS = 10; // 100 ms
const RELATIVE_GATE_LU = -10;
const RANGE_GATE_LU = -20;

/** Figures of loudness. -Infinity stands for silence, and for less sound than the window needs. */
export interface LoudnessFigures {
  /** Gated loudness of the whole, LUFS; -Infinity where nothing passes the gate. */
  readonly integratedLufs: number;
  /** Largest loudness of any 400 ms, and of any 3 s. */
  readonly maximumMomentaryLufs: number;
  /** Largest loudness of any 3 s, LUFS. */
  readonly maximumShortTermLufs: number;
  /** Null where no 3 s were above -70 LUFS. */
  readonly rangeLu: number | null;
  /** Long-term transient-to-sustain ratio: 0 for a steady sound, see `PunchSum`. Null for silence. */
  readonly transientToSustainDb: number | null;
}

/**
 * Measures the loudness of a stream. Its memory is 0.3 MB, whatever the length.
 *
 * Its K-weighting is that of 48 kHz within 0.011 dB from 32 kHz up; below, it is off by up to 0.031 dB at 22 050 Hz, 0.07 dB
 * at 16 kHz, 0.15 dB at 11 025 Hz and 0.29 dB at 8 kHz, too low about 1 kHz and too high about 2 kHz.
 */
export class LoudnessMeter {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  readonly #steps: EnergySteps;
  readonly #blocks = new LoudnessHistogram();
  readonly #shortTerms = new LoudnessHistogram();
  readonly #punch = new PunchSum();
  readonly #powers = new Float64Array(2); // of the last 400 ms, of the last 3 s
  readonly #highest = new Float64Array(2); // the largest of these

  /**
   * @param weights - G_i of each channel: 1 unless given; `loudnessWeights` has those of loudspeaker layouts
   */
  constructor(format: StreamFormat, weights: readonly number[] = []) {
    this.format = requireFormat('LoudnessMeter', format);
    const { channels } = this.format;
    if (weights.length > 0) requireInteger('LoudnessMeter: number of weights', weights.length, channels, channels);
    weights.forEach((weight, i) => requireRange(`LoudnessMeter: weights[${i}]`, weight, 0, 10));
    this.#steps = new EnergySteps(
      this.format,
      Array.from({ length: channels }, (_, c) => weights[c] ?? 1),
    );
  }

  /** Takes in `channels[c][start .. end)`: all of the arrays unless given. Samples that are not finite count as 0. */
  process(channels: Channels, start = 0, end: number = channels[0]?.length ?? 0): void {
    requirePart('LoudnessMeter', requireShape('LoudnessMeter', 'input', channels, this.format.channels), start, end);
    const steps = this.#steps;
    for (let at = start; at < end;) {
      const finished = steps.steps;
      at = steps.advance(channels, at, end);
      if (steps.steps > finished) this.#finishStep();
    }
  }

  /** Loudness of all that has been taken in, in LUFS; -Infinity if no block was above -70 LUFS. */
  get integratedLufs(): number {
    return this.#blocks.meanLufs(this.#blocks.meanLufs() + RELATIVE_GATE_LU);
  }

  /** Loudness of the last 400 ms, in LUFS, brought up to date every 10 ms. */
  get momentaryLufs(): number {
    return this.#lastLufs(BLOCK_STEPS);
  }

  /** Loudness of the last 3 s, in LUFS, brought up to date every 10 ms. */
  get shortTermLufs(): number {
    return this.#lastLufs(LONGEST_WINDOW);
  }

  /** All figures of what has been taken in. */
  get figures(): LoudnessFigures {
    const gate = this.#shortTerms.meanLufs() + RANGE_GATE_LU;
    const [low, high] = [10, 95].map((percent) => this.#shortTerms.percentileLufs(percent, gate));
    return {
      integratedLufs: this.integratedLufs,
      maximumMomentaryLufs: loudnessOf(this.#highest[0]),
      maximumShortTermLufs: loudnessOf(this.#highest[1]),
      rangeLu: high === -Infinity ? null : high - low,
      transientToSustainDb: this.#punch.ratioDb,
    };
  }

  /** Equal to a new meter. */
  reset(): void {
    this.#steps.reset();
    this.#blocks.reset();
    this.#shortTerms.reset();
    this.#punch.reset();
    this.#highest.fill(0);
  }

  #lastLufs(steps: number): number {
    if (this.#steps.steps < steps) return -Infinity;
    this.#steps.measure(steps, 0, this.#powers, 0);
    return loudnessOf(this.#powers[0]);
  }

  #finishStep(): void {
    const steps = this.#steps,
      powers = this.#powers,
      highest = this.#highest,
      onGrid = steps.steps % HOP_STEPS === 0;
    if (steps.steps < BLOCK_STEPS) return;
    steps.measure(BLOCK_STEPS, 0, powers, 0);
    highest[0] = Math.max(highest[0], powers[0]);
    this.#punch.add(steps, powers, 0);
    if (onGrid) this.#blocks.add(powers, 0);
    if (steps.steps < LONGEST_WINDOW) return;
    steps.measure(LONGEST_WINDOW, 0, powers, 1);
    highest[1] = Math.max(highest[1], powers[1]);
    if (onGrid) this.#shortTerms.add(powers, 1);
  }
}

/** Integrated loudness of a whole signal in LUFS; -Infinity if none of it is above -70 LUFS. */
export function measureLoudness(channels: Channels, sampleRateHz: number, weights?: readonly number[]): number {
  const meter = new LoudnessMeter({ sampleRateHz, channels: channels.length }, weights);
  meter.process(channels);
  return meter.integratedLufs;
}
