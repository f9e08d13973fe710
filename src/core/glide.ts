/**
 * Glide: moves a vector of constants from where it is to where it shall be, so that a change never clicks.
 *
 *     k[n] = from + w[n] (to - from),    w[n] = (1 - cos(pi n / N)) / 2 = 1 - sin^2(pi (N - n) / 2N),    n = 1 .. N
 *
 * N is 20 ms. A raised cosine has no corner at its ends: a gain that follows it leaves about -135 dB above 10 kHz, where a straight
 * line leaves -81 dB. A new target during a glide starts from the value reached.
 *
 * @module
 */
import { tanPi } from './maths.ts';
import { millisecondsToSamples } from './time.ts';
import type { Part } from './processor.ts';

/** Length of every glide and cross-fade. */
export const GLIDE_MS = 20;

/** Number of samples that a glide takes. */
export function glideSamples(sampleRateHz: number): number {
  return millisecondsToSamples(GLIDE_MS, sampleRateHz);
}

/** Share of a glide, or of a cross-fade, that is still to come when `left` of its `length` samples are: 1 - w. */
export function shareToCome(left: number, length: number): number {
  const t = tanPi(left, 2 * length);
  return (t * t) / (1 + t * t);
}

/** A vector that glides, sample by sample, from target to target. */
export class Glide implements Part {
  /** The constants at the present sample. */
  readonly value: Float64Array;
  readonly state: readonly Float64Array[];
  readonly #from: Float64Array;
  readonly #to: Float64Array;
  readonly #left = new Float64Array(1); // samples still to go
  readonly #length: number;

  constructor(target: readonly number[], sampleRateHz: number) {
    this.value = Float64Array.from(target);
    this.#from = Float64Array.from(target);
    this.#to = Float64Array.from(target);
    this.#length = glideSamples(sampleRateHz);
    this.state = [this.value, this.#from, this.#to, this.#left];
  }

  get active(): boolean {
    return this.#left[0] > 0;
  }

  /** Sets off from the present value to `target`, unless it is there or on its way already. */
  start(target: readonly number[]): void {
    const to = this.#to;
    if (target.every((t, i) => t === to[i] && (this.active || t === this.value[i]))) return;
    this.#from.set(this.value);
    this.#to.set(target);
    this.#left[0] = this.#length;
  }

  /** Arrives at once. */
  reset(): void {
    this.value.set(this.#to);
    this.#left[0] = 0;
  }

  /** Moves on by one sample; only while `active`. */
  step(): void {
    const { value } = this;
    const from = this.#from,
      to = this.#to;
    const share = shareToCome(--this.#left[0], this.#length);
    for (let i = 0; i < value.length; i++) value[i] = to[i] + share * (from[i] - to[i]);
  }
}
