/**
 * Transient shaper: turns the attack and the sustain of each hit up or down, whatever the level of the hit.
 *
 *     |x| -> p = largest of the last H ms -> e: rises at once, falls in H -+-> s: rises in `attackMs`, falls with e
 *                                                                          +-> u: rises with e, falls in `sustainMs`
 *     gain in dB = attackDb (1 - s/e) + sustainDb (1 - e/u) -> one pole of `smoothingMs`
 *     input -> delayed by the look-ahead -> x gain -> output
 *
 * s <= e <= u always. Both shares lie between 0 and 1 and are quotients of levels: a hit of half the level has the same
 * gain. From a level that begins at 0, before the smoothing,
 *
 *     attack share  = e^(-t / attackMs)                                      t after its begin
 *     sustain share = 1 - (S - H) / (S e^(t (1/H - 1/S)) - H)                S = sustainMs, t from H after its end
 *
 * A steady tone of which H holds half a period keeps e, so it comes out as it was. With the look-ahead the gain is up when
 * the hit comes out.
 *
 * Source: the difference of a fast and a slow envelope as a measure of a transient: U. Zoelzer (ed.), "DAFX: Digital Audio
 * Effects", 2nd ed., Wiley 2011; M. Zaunschirm, J. D. Reiss, A. Klapuri, "A Sub-Band Approach to Modification of Musical
 * Transients", Computer Music Journal 36(2), 2012 (both from memory). Quotients in place of differences, and the peak hold,
 * are derived here.
 *
 * @module
 */
import { DB_PER_OCTAVE } from '../core/decibels.ts';
import { exp2InPlace } from '../core/maths.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { SlidingMinimum } from '../core/sliding-minimum.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { flush } from './detector.ts';
import { applyGain, type DynamicsParts, DynamicsShell } from './dynamics-shell.ts';
import { linkGains } from './link.ts';

/** Parameters of a {@link TransientShaper}. */
export const transientShaperParameters = {
  /** Gain of the very begin of a hit. */
  attackDb: { default: 0, min: -24, max: 24 },
  /** Gain of what rings on after a hit, once it has fallen far below it: of what lies between the hits, too. */
  sustainDb: { default: 0, min: -24, max: 24 },
  /** Time constant in which the attack's share of the gain fades. */
  attackMs: { default: 20, min: 1, max: 500, taper: 'log' },
  /** Time constant in which the level of the hit is forgotten: longer for drums that ring long. */
  sustainMs: { default: 300, min: 10, max: 5000, taper: 'log' },
  /** Time constant of the gain in dB. */
  smoothingMs: { default: 0.5, min: 0, max: 20, taper: 'square' },
  /** How long a peak is held: half a period of the lowest note (10 ms for 50 Hz), which then is no transient. The level
   * falls with this time constant, too. */
  holdMs: { default: 10, min: 0, max: 50, fixed: true },
  /** How long before a hit the gain begins to move: the latency of the block. */
  lookaheadMs: { default: 2, min: 0, max: 50, fixed: true },
  /** How far the channels move together: towards the lowest of their gains. */
  linkPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link TransientShaper}; {@link transientShaperParameters} gives defaults, ranges and units. */
export type TransientShaperOptions = ParameterOptions<typeof transientShaperParameters>;

/**
 * Level-independent shaper of attack and sustain, moved by its input or by a key.
 *
 * @example
 * ```ts
 * import { TransientShaper } from 'batterhead/dynamics';
 *
 * const tom = new TransientShaper({ sampleRateHz: 48000, channels: 1 }, { attackDb: 4, sustainDb: -6 });
 * const signal = new Float32Array(512);
 * tom.process([signal], [signal]);
 * ```
 */
export class TransientShaper extends DynamicsShell<typeof transientShaperParameters> {
  readonly #lowest: readonly SlidingMinimum[];

  /** @throws TypeError or RangeError if an option is not as {@link transientShaperParameters} says. */
  constructor(format: StreamFormat, options: TransientShaperOptions = {}, parts: DynamicsParts = {}) {
    super('TransientShaper', transientShaperParameters, format, options, parts, 4);
    const holdSamples = millisecondsToSamples(this.values.holdMs, format.sampleRateHz);
    this.#lowest = this.rowState.map(() => this.own(new SlidingMinimum(holdSamples, 0)));
    this.begin();
  }

  protected override design(p: ParameterValues<typeof transientShaperParameters>): readonly number[] {
    const { sampleRateHz } = this.format;
    return [
      p.linkPercent / 100,
      p.attackDb / DB_PER_OCTAVE,
      p.sustainDb / DB_PER_OCTAVE,
      onePoleCoefficient(p.holdMs, sampleRateHz),
      onePoleCoefficient(p.attackMs, sampleRateHz),
      onePoleCoefficient(p.sustainMs, sampleRateHz),
      onePoleCoefficient(p.smoothingMs, sampleRateHz),
    ];
  }

  protected override onGrid(): void {
    for (const state of this.rowState) flush(state);
  }

  /** The peaks remember H each: they all run, always. */
  protected override rowsAgree(): boolean {
    return false;
  }

  protected override apply(gain: Float64Array, x: Float64Array, count: number): void {
    applyGain(gain, x, count);
  }

  protected override gains(rows: readonly Float64Array[], count: number): void {
    for (let c = 0; c < rows.length; c++) {
      const row = rows[c];
      for (let i = 0; i < count; i++) row[i] = -row[i]; // the largest level is the lowest of these
      this.#lowest[c].process(row, count);
      levelsToGains(this.k, this.rowState[c], row, count);
    }
    if (!this.linked) linkGains(rows, count, this.k);
    for (let c = 0; c < rows.length; c++) {
      smooth(this.k, this.rowState[c], rows[c], count);
      exp2InPlace(rows[c], count);
    }
  }
}

/** Gain, in octaves, that peaks -p ask for, in place; `state` is e, s and u. */
function levelsToGains(k: Float64Array, state: Float64Array, row: Float64Array, count: number): void {
  const attackGain = k[1],
    sustainGain = k[2],
    hold = k[3],
    attack = k[4],
    sustain = k[5];
  let e = state[0],
    s = state[1],
    u = state[2];

  for (let i = 0; i < count; i++) {
    const peak = -row[i];
    e = peak < e ? peak + hold * (e - peak) : peak;
    s = s < e ? e + attack * (s - e) : e;
    u = e < u ? e + sustain * (u - e) : e;
    row[i] = e > 0 ? attackGain * (1 - s / e) + sustainGain * (1 - e / u) : 0;
  }

  state[0] = e;
  state[1] = s;
  state[2] = u;
}

/** One pole on the gain in octaves, in place; `state[3]` is its last value. */
function smooth(k: Float64Array, state: Float64Array, row: Float64Array, count: number): void {
  const keep = k[6];
  let gain = state[3];
  for (let i = 0; i < count; i++) {
    gain = row[i] + keep * (gain - row[i]);
    row[i] = gain;
  }
  state[3] = gain;
}
