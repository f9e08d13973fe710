/**
 * Gate: passes a signal while its level is above a threshold, turns it down otherwise.
 *
 *               +-------- level >= threshold --------------+
 *               |                                          v
 *            CLOSED (target = -range)            OPEN (target = 0 dB)
 *               ^                                          |
 *               +-- below threshold - hysteresis for hold -+
 *
 * The gain g approaches its target t with a one-pole smoother,
 *
 *     g[n] = t + a (g[n-1] - t),    a = exp(-1 / (time * sampleRate)),
 *
 * where time is the attack when rising and the release when falling: time constants, after which 63.2 % of the way is
 * done. With a look-ahead the signal is delayed, so that the gate has begun to open when the hit comes.
 *
 * Channels are linked by their levels, towards the loudest: linked by their gains towards the lowest, as a compressor's
 * are, a quiet channel would keep a loud one shut.
 *
 * Source: M. J. Terrell, J. D. Reiss, M. Sandler, "Automatic Noise Gate Settings for Drum Recordings Containing Bleed",
 * EURASIP J. Adv. Signal Process. 2010, section 2.1 (threshold, range, attack, hold, release). Hysteresis and look-ahead
 * are common practice.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { applyGain, type DynamicsParts, DynamicsShell } from './dynamics-shell.ts';
import { linkLevels } from './link.ts';

/** Parameters of a {@link Gate}. Levels are peak dBFS: amplitude 1 is 0 dB. */
export const gateParameters = {
  /** Level that opens the gate. */
  thresholdDb: { default: -40, min: -120, max: 0 },
  /** How far below the threshold the level must fall before the gate may close. */
  hysteresisDb: { default: 6, min: 0, max: 24 },
  /** Attenuation while closed. */
  rangeDb: { default: 80, min: 0, max: 120 },
  /** Time constant of opening. */
  attackMs: { default: 0.5, min: 0, max: 1000, taper: 'square' },
  /** Time below the closing level before closing. At least half a period of the lowest note (10 ms for 50 Hz): |x| falls
   * to zero twice in every period. */
  holdMs: { default: 50, min: 0, max: 5000, taper: 'square' },
  /** Time constant of closing. */
  releaseMs: { default: 100, min: 0, max: 5000, taper: 'square' },
  /** How long before a hit the gate begins to open: the latency of the block. */
  lookaheadMs: { default: 0, min: 0, max: 50, fixed: true },
  /** How far the channels open together, by the loudest of them. */
  linkPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link Gate}; {@link gateParameters} gives defaults, ranges and units. */
export type GateOptions = ParameterOptions<typeof gateParameters>;

/**
 * Gate with hysteresis, hold, range and look-ahead, opened by its input or by a key.
 *
 * @example
 * ```ts
 * import { Gate } from 'batterhead/dynamics';
 * import { Equaliser } from 'batterhead/filters';
 *
 * const format = { sampleRateHz: 48000, channels: 1 };
 * const keyFilter = new Equaliser(format, [{ type: 'lowpass', frequencyHz: 120 }]);
 * const kick = new Gate(format, { thresholdDb: -30, holdMs: 120, lookaheadMs: 2 }, { keyFilter });
 * const signal = new Float32Array(512);
 * kick.process([signal], [signal]);
 * console.log(kick.latencySamples); // 96
 * ```
 */
export class Gate extends DynamicsShell<typeof gateParameters> {
  readonly #ones = new Float64Array(BLOCK).fill(1); // a signal whose product is the gain itself

  /** @throws TypeError or RangeError if an option is not as {@link gateParameters} says. */
  constructor(format: StreamFormat, options: GateOptions = {}, parts: DynamicsParts = {}) {
    super('Gate', gateParameters, format, options, parts, 2);
    this.begin();
  }

  protected override design(p: ParameterValues<typeof gateParameters>): readonly number[] {
    const { sampleRateHz } = this.format;
    return [
      p.linkPercent / 100,
      dbToGain(p.thresholdDb),
      dbToGain(p.thresholdDb - p.hysteresisDb),
      dbToGain(-p.rangeDb),
      onePoleCoefficient(p.attackMs, sampleRateHz),
      onePoleCoefficient(p.releaseMs, sampleRateHz),
      millisecondsToSamples(p.holdMs, sampleRateHz),
    ];
  }

  /** A new gate is closed. */
  protected override onReset(): void {
    for (const state of this.rowState) state[0] = this.k[3];
  }

  protected override apply(gain: Float64Array, x: Float64Array, count: number): void {
    applyGain(gain, x, count);
  }

  protected override gains(rows: readonly Float64Array[], count: number): void {
    if (!this.linked) linkLevels(rows, count, this.k);
    for (let c = 0; c < rows.length; c++) pass(this.k, this.rowState[c], rows[c], this.#ones, rows[c], count);
  }

  protected override atOnce(x: readonly Float64Array[], count: number): boolean {
    if (x.length > 1) return false;
    pass(this.k, this.rowState[0], x[0], x[0], x[0], count);
    return true;
  }
}

/**
 * The state machine and the smoother: `out` becomes `signal` times the gain that `heard` asks for. `state` is the gain and
 * for how many samples the gate stays open.
 */
function pass(
  k: Float64Array,
  state: Float64Array,
  heard: Float64Array,
  signal: Float64Array,
  out: Float64Array,
  count: number,
): void {
  const openLevel = k[1],
    closeLevel = k[2],
    closedGain = k[3],
    attack = k[4],
    release = k[5],
    holdSamples = k[6];
  let gain = state[0],
    openFor = state[1]; // the present sample included

  for (let i = 0; i < count; i++) {
    if (Math.abs(heard[i]) >= (openFor > 0 ? closeLevel : openLevel)) openFor = holdSamples + 1;
    else if (openFor > 0) openFor--;

    const target = openFor > 0 ? 1 : closedGain;
    gain = target + (target > gain ? attack : release) * (gain - target);
    out[i] = gain * signal[i];
  }

  state[0] = gain;
  state[1] = openFor;
}
