/**
 * Limiter: keeps every sample at or below a ceiling, with a gain that begins to fall before the peak comes.
 *
 *     input and key -> level -> g = min(1, ceiling / level) -> link -> gain smoother (L samples ahead)
 *                                                                            v
 *     input -> delayed by the look-ahead, L samples ---------------------- x -> output
 *
 * The gain of a sample is never above its own g, whatever the link, the release and the neighbours ask for (the proof is
 * in the gain smoother), so |output| <= ceiling for every sample. The ceiling is the largest 32-bit float that is not
 * above 10^(dB/20): rounding the output to 32 bits cannot exceed it either. Samples at or below it, with no louder ones
 * near, come out as exact delayed copies.
 *
 * A lowered ceiling holds at once for what enters after the `set`; a raised one glides. With a key the gain is the smaller
 * of what the key asks for and what the input itself does, so a key never lifts the output above the ceiling.
 *
 * The waveform between the samples can be higher than these. With `truePeak` the level of a sample is the highest point of
 * the two intervals beside it, where that is above the ceiling, at 16 points to the sample: which takes 12 samples of
 * latency more. A gain that changes bends the waveform, the more the shorter the look-ahead: from 24 samples on (0.5 ms at
 * 48 kHz) the true peak of what comes out is at most 0.1 dB over the ceiling, for sound band-limited to 20/48 of the sample
 * rate. A key's level remains that of its samples.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { exp2InPlace, log2InPlace } from '../core/maths.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { scratch } from '../core/pieces.ts';
import type { Part, StreamFormat } from '../core/processor.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import { INTER_SAMPLE_REACH, interSampleTable } from '../filters/inter-sample-peak.ts';
import { applyGain, type DynamicsParts, DynamicsShell, raise } from './dynamics-shell.ts';
import { GainSmoother } from './gain-smoother.ts';
import { linkGains } from './link.ts';
import { TruePeakOvers } from './true-peak-overs.ts';

/** Parameters of a {@link Limiter}. */
export const limiterParameters = {
  /** Highest magnitude of an output sample, in dBFS. */
  ceilingDb: { default: -1, min: -60, max: 0 },
  /** Time constant with which the linear gain returns to 1. */
  releaseMs: { default: 50, min: 0, max: 5000, taper: 'square' },
  /** How long before a peak the gain begins to fall, and the time it takes: the latency of the block. */
  lookaheadMs: { default: 5, min: 0.1, max: 20, fixed: true },
  /** How far the channels move together: towards the lowest of their gains. */
  linkPercent: { default: 100, min: 0, max: 100 },
  /** Bounds the waveform between the samples too, within 0.1 dB if the look-ahead is 24 samples or more. */
  truePeak: { default: false, fixed: true },
} as const satisfies ParameterTable;

/** Options of {@link Limiter}; {@link limiterParameters} gives defaults, ranges and units. */
export type LimiterOptions = ParameterOptions<typeof limiterParameters>;

type Values = ParameterValues<typeof limiterParameters>;

/** Room for the roundings of gain and product, far below the last bit of a 32-bit float. */
const SAFE = 0.9999999999999964; // 1 - 2^-48

/** Times this a 32-bit float rounds to the next one below. */
const BELOW = 0.9999999403953552; // 1 - 2^-24

/**
 * Look-ahead limiter whose output never exceeds its ceiling.
 *
 * @example
 * ```ts
 * import { Limiter } from 'batterhead/dynamics';
 *
 * const limiter = new Limiter({ sampleRateHz: 48000, channels: 1 }, { ceilingDb: -6 });
 * const signal = Float32Array.from({ length: 4800 }, (_, n) => 2 * Math.sin(n / 10));
 * limiter.process([signal], [signal]);
 * console.log(Math.max(...signal) <= 10 ** (-6 / 20)); // true
 * ```
 */
export class Limiter extends DynamicsShell<typeof limiterParameters> {
  readonly #smoothers: readonly GainSmoother[];
  readonly #apart = this.memory(1); // 0 while the first smoother does for all, which sleep; else 1
  readonly #alone: readonly Float64Array[];
  readonly #overs: readonly TruePeakOvers[] = []; // of each channel, if true peaks are bounded

  /** @throws TypeError or RangeError if an option is not as {@link limiterParameters} says. */
  constructor(format: StreamFormat, options: LimiterOptions = {}, parts: DynamicsParts = {}) {
    super('Limiter', limiterParameters, format, options, parts, 0, options.truePeak ? INTER_SAMPLE_REACH : 0);
    this.#alone = scratch(this.format.channels);
    this.#smoothers = this.#alone.map(() => this.own(new GainSmoother(this.lookaheadSamples)));
    if (this.values.truePeak) {
      const table = interSampleTable();
      this.#overs = this.#alone.map(() => this.own(new TruePeakOvers(table)));
    }
    this.begin();
  }

  /** A lowered ceiling holds at once; a raised one glides, from wherever the ceiling is. */
  override set(options: LimiterOptions): void {
    this.check(options);
    const { ceilingDb = this.values.ceilingDb } = options;
    this.k[1] = Math.min(this.k[1], sampleCeiling(ceilingDb));
    super.set(options);
  }

  protected override design(p: Values): readonly number[] {
    return [p.linkPercent / 100, sampleCeiling(p.ceilingDb), onePoleCoefficient(p.releaseMs, this.format.sampleRateHz)];
  }

  protected override hearInput(
    x: readonly Float64Array[],
    rows: readonly Float64Array[],
    count: number,
    keyed: boolean,
  ): void {
    const overs = this.#overs;
    for (let r = 0; r < rows.length && keyed; r++) {
      for (let c = 0; c < x.length; c++) if (this.linked || c === r) raise(rows[r], x[c], count);
    }
    for (let c = 0; c < overs.length; c++) overs[c].process(x[c], rows[c < rows.length ? c : 0], count, this.k, 1);
    for (let r = 0; r < rows.length; r++) {
      if (overs.length > 0) overs[r].delay(rows[r], count);
      for (let c = 0; c < overs.length; c++) if (this.linked || c === r) raise(rows[r], overs[c].levels, count);
    }
  }

  /** Whether the first smoother does for all channels. */
  protected override rowsAgree(): boolean {
    return this.#apart[0] === 0;
  }

  protected override apply(gain: Float64Array, x: Float64Array, count: number): void {
    applyGain(gain, x, count);
  }

  protected override gains(rows: readonly Float64Array[], count: number): void {
    const k = this.k;
    const ceiling = k[1],
      safe = ceiling * SAFE;
    for (let c = 0; c < rows.length; c++) {
      const row = rows[c];
      for (let i = 0; i < count; i++) row[i] = row[i] > ceiling ? safe / row[i] : 1;
    }
    if (!this.linked && k[0] > 0) this.#link(rows, count);
    const smoothers = this.#smoothers;
    if (rows.length > 1 && this.#apart[0] === 0) for (const smoother of smoothers) smoother.become(smoothers[0]);
    for (let c = 0; c < rows.length; c++) {
      smoothers[c].release = k[2];
      smoothers[c].process(rows[c], count);
    }
    if (rows.length > 1) this.#apart[0] = this.linked && this.#waysAgree() ? 0 : 1;
  }

  /** Whether all that a row passes is as it is for the first one. */
  #waysAgree(): boolean {
    const smoothers = this.#smoothers,
      overs = this.#overs;
    for (let c = 1; c < smoothers.length; c++) {
      if (!agree(smoothers[c], smoothers[0]) || (overs.length > 0 && !agree(overs[c].line, overs[0].line)))
        return false;
    }
    return true;
  }

  /** Links in dB, which rounds; no gain may end up above what it was alone. */
  #link(rows: readonly Float64Array[], count: number): void {
    const alone = this.#alone;
    for (let c = 0; c < rows.length; c++) {
      alone[c].set(rows[c]);
      log2InPlace(rows[c], count);
    }
    linkGains(rows, count, this.k);
    for (let c = 0; c < rows.length; c++) {
      exp2InPlace(rows[c], count);
      for (let i = 0; i < count; i++) if (alone[c][i] < rows[c][i]) rows[c][i] = alone[c][i];
    }
  }
}

/** Whether two parts alike will go on alike. */
function agree({ state: a }: Part, { state: b }: Part): boolean {
  for (let s = 0; s < a.length; s++) {
    for (let i = 0; i < a[s].length; i++) if (a[s][i] !== b[s][i]) return false;
  }
  return true;
}

/** Largest 32-bit float that is not above 10^(dB/20). */
function sampleCeiling(ceilingDb: number): number {
  const ceiling = dbToGain(ceilingDb);
  const nearest = Math.fround(ceiling);
  return nearest > ceiling ? Math.fround(nearest * BELOW) : nearest;
}
