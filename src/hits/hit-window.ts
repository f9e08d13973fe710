/**
 * Hit window: a smooth 1 around every hit, 0 elsewhere.
 *
 *              hit
 *              |____________
 *             /              \            rises over the attack, holds, falls over the release,
 *     _______/                \______     both as raised cosines: no corner, no click
 *
 * Where windows of neighbouring hits overlap, what each leaves of 1 multiplies: 1 - (1 - w1)(1 - w2) has no corner either.
 *
 * @module
 */
import { shareToCome } from '../core/glide.ts';
import { millisecondsToSamples } from '../core/time.ts';

/** Lengths of the parts of a window. */
export interface HitWindowTimes {
  readonly attackMs: number;
  readonly holdMs: number;
  readonly releaseMs: number;
}

/** The window over the hits of a recording. */
export class HitWindow {
  readonly #positions: readonly number[]; // whole, sorted
  readonly #attack: number;
  readonly #hold: number;
  readonly #release: number;
  #first = 0; // the first hit whose window has not ended: follows from the position

  /** @param hits - samples of the hits, sorted; a window is 1 from the whole sample before its hit */
  constructor(hits: readonly number[], times: HitWindowTimes, sampleRateHz: number) {
    this.#positions = hits.map((sample) => Math.floor(sample));
    this.#attack = millisecondsToSamples(times.attackMs, sampleRateHz);
    this.#hold = millisecondsToSamples(times.holdMs, sampleRateHz);
    this.#release = millisecondsToSamples(times.releaseMs, sampleRateHz);
  }

  /** Fills `left[0 .. count)` with 1 minus the window at the samples from `position[0]` on. */
  remainder(position: Float64Array, left: Float64Array, count: number): void {
    const start = position[0]; // a number as an argument would be boxed
    const positions = this.#positions,
      after = this.#hold + this.#release;
    if (this.#first > 0 && positions[this.#first - 1] + after >= start) this.#first = 0; // gone back
    while (this.#first < positions.length && positions[this.#first] + after < start) this.#first++;
    left.fill(1, 0, count);
    for (let h = this.#first; h < positions.length; h++) {
      const hit = positions[h];
      if (hit - this.#attack >= start + count) break;
      const from = Math.max(0, hit - this.#attack - start),
        to = Math.min(count, hit + after - start + 1);
      for (let i = from; i < to; i++) left[i] *= this.#share(start + i - hit);
    }
  }

  /** 1 minus the window of a hit, `since` samples after it. */
  #share(since: number): number {
    if (since < 0) return shareToCome(-since, this.#attack + 1);
    return since <= this.#hold ? 0 : shareToCome(since - this.#hold, this.#release + 1);
  }
}
