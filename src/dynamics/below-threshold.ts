/**
 * Below threshold: the gain computer of blocks that change what lies below a threshold and leave alone what lies above.
 *
 *     level -> link -> log -> distance below the threshold -> static change r, 0 to range -> hold, attack, release -> +-
 *
 *     r     = slope d              d = T - level, in dB; with a knee of width W around T as in `expansionCurve`
 *     c[n]  = c[n-1]               while the last level that asked for c or less is at most the hold ago
 *     c[n]  = r[n] + a (c[n-1] - r[n])     else; a = attack where r[n] < c[n-1], else release
 *     gain  = c towards louder or quieter, in dB
 *
 * The level is the magnitude of each sample, which is 0 twice in every period: the hold, at least half a period of the
 * lowest note, carries the gain over these gaps, and a steady tone settles exactly where the curve puts its peak. Times
 * are those of the gain in dB, as in the compressor.
 *
 * Channels are linked by their levels, towards the loudest, as in the gate: the loud side of an overhead speaks for both.
 *
 * Source: the static curves' own; the smoother is the smooth branching detector of D. Giannoulis, M. Massberg, J. D. Reiss,
 * "Digital Dynamic Range Compressor Design - A Tutorial and Analysis", JAES 60(6), 2012, Eq. (16), on the gain; the hold
 * is common practice.
 *
 * @module
 */
import { DB_PER_OCTAVE } from '../core/decibels.ts';
import { exp2InPlace, log2InPlace } from '../core/maths.ts';
import type { NumberRow, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { applyGain, DynamicsShell } from './dynamics-shell.ts';
import { pastThreshold } from './knee.ts';
import { linkLevels } from './link.ts';

type Row =
  'thresholdDb' | 'ratio' | 'kneeDb' | 'rangeDb' | 'attackMs' | 'holdMs' | 'releaseMs' | 'lookaheadMs' | 'linkPercent';

/** Rows that the tables of these blocks have. */
export type BelowThresholdTable = ParameterTable & Readonly<Record<Row, NumberRow>>;

/** A block that turns the signal below its threshold up or down. */
export abstract class BelowThreshold<T extends BelowThresholdTable> extends DynamicsShell<T> {
  /**
   * The constants, but for what tells the blocks apart.
   *
   * @param slope - how many dB the gain moves for each dB that the level is below the threshold, 0 or above
   * @param direction - 1 for up, -1 for down
   */
  protected constants(p: ParameterValues<BelowThresholdTable>, slope: number, direction: 1 | -1): readonly number[] {
    const { sampleRateHz } = this.format;
    return [
      p.linkPercent / 100,
      -p.thresholdDb / DB_PER_OCTAVE,
      p.kneeDb / DB_PER_OCTAVE,
      slope,
      p.rangeDb / DB_PER_OCTAVE,
      direction,
      onePoleCoefficient(p.attackMs, sampleRateHz),
      onePoleCoefficient(p.releaseMs, sampleRateHz),
      millisecondsToSamples(p.holdMs, sampleRateHz),
    ];
  }

  /** A new block has heard silence. */
  protected override onReset(): void {
    for (const state of this.rowState) state[0] = this.k[3] > 0 ? this.k[4] : 0;
  }

  protected override onGrid(): void {
    const states = this.rowState;
    for (let c = 0; c < states.length; c++) if (states[c][0] < 1e-30) states[c][0] = 0;
  }

  protected override apply(gain: Float64Array, x: Float64Array, count: number): void {
    applyGain(gain, x, count);
  }

  protected override gains(rows: readonly Float64Array[], count: number): void {
    const direction = this.k[5];
    if (!this.linked) linkLevels(rows, count, this.k);
    for (let c = 0; c < rows.length; c++) {
      const row = rows[c];
      log2InPlace(row, count);
      for (let i = 0; i < count; i++) row[i] = -row[i];
      pastThreshold(row, count, this.k); // past it downwards
      follow(this.k, this.rowState[c], row, count);
      for (let i = 0; i < count; i++) row[i] *= direction;
      exp2InPlace(row, count);
    }
  }
}

/** Hold, attack and release of one row; `state` is the change and for how many samples it is held. */
function follow(k: Float64Array, state: Float64Array, row: Float64Array, count: number): void {
  const attack = k[6],
    release = k[7],
    holdSamples = k[8];
  let change = state[0],
    heldFor = state[1];

  for (let i = 0; i < count; i++) {
    const asked = row[i];
    if (asked <= change) {
      change = asked + attack * (change - asked);
      heldFor = holdSamples;
    } else if (heldFor > 0) heldFor--;
    else change = asked + release * (change - asked);
    row[i] = change;
  }

  state[0] = change;
  state[1] = heldFor;
}
