/**
 * Tail control: the dry sound gates its own reverberation, or ducks it.
 *
 *     active while |x| >= threshold in any channel, and for the hold after it
 *     gate    gain 1 while active, 10^(-range / 20) else           duck    the other way round
 *
 * The gain follows its target with a time constant: 2 ms when the sound begins, `release` when it has ended.
 *
 * Source: common practice; gated rooms, and returns that make way for the drum.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';

/** What the dry sound does to its reverberation. */
export type TailMode = 'free' | 'gate' | 'duck';

/** Time constant of the gain when the sound begins. */
export const TAIL_ATTACK_MS = 2;

/** How many constants `process` takes: threshold, floor, hold in samples, coefficients of attack and release. */
export const TAIL_CONSTANTS = 5;

/** Gain of a reverberation by its dry sound. */
export class TailControl implements Part {
  readonly state: readonly Float64Array[];
  readonly #mode: TailMode;
  readonly #now = new Float64Array(2); // samples until the sound has ended; gain
  readonly #gains: Float64Array;

  constructor(mode: TailMode, piece: number) {
    this.#mode = mode;
    this.#gains = new Float64Array(piece);
    this.state = [this.#now];
    this.reset();
  }

  reset(): void {
    this.#now[0] = 0;
    this.#now[1] = this.#mode === 'gate' ? 0 : 1;
  }

  /** Listens to the dry sound `x[c][0 .. count)`. */
  listen(x: readonly Float64Array[], count: number, k: Float64Array, first: number): void {
    if (this.#mode === 'free') return;
    const threshold = k[first],
      floor = k[first + 1],
      hold = k[first + 2],
      attack = k[first + 3],
      release = k[first + 4];
    const now = this.#now,
      gains = this.#gains;
    const whileActive = this.#mode === 'gate' ? 1 : floor,
      else_ = this.#mode === 'gate' ? floor : 1;
    let left = now[0],
      gain = now[1];
    for (let i = 0; i < count; i++) {
      let loud = false;
      for (let c = 0; c < x.length; c++) if (Math.abs(x[c][i]) >= threshold) loud = true;
      left = loud ? hold : left - 1;
      const active = loud || left > 0;
      const target = active ? whileActive : else_;
      gain = target + (active ? attack : release) * (gain - target);
      gains[i] = gain;
    }
    now[0] = left > 0 ? left : 0;
    now[1] = gain;
  }

  /** Applies the gain to the reverberation `y[c][0 .. count)`. */
  apply(y: readonly Float64Array[], count: number): void {
    if (this.#mode === 'free') return;
    const gains = this.#gains;
    for (let c = 0; c < y.length; c++) {
      const x = y[c];
      for (let i = 0; i < count; i++) x[i] *= gains[i];
    }
  }
}
