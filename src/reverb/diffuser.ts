/**
 * Diffuser: allpasses in series, which smear an attack without changing the level of any frequency.
 *
 *     allpass j of 4     5.5 ms * 1.6^-j * 1.13^-c         5.5 to 1.3 ms, channel by channel c a little shorter
 *
 * Source: M. R. Schroeder, "Natural Sounding Artificial Reverberation", JAES 10(3), 1962; constants ours.
 *
 * @module
 */
import { pow } from '../core/maths.ts';
import type { Part } from '../core/processor.ts';
import { combGain } from './absorption.ts';
import { Allpass } from './allpass.ts';
import { nextPrime } from './primes.ts';

const ALLPASSES = 4;
const LARGEST_GAIN = 0.7;

/** Allpasses of one channel. */
export class Diffuser implements Part {
  /** How many numbers `design` returns. */
  static readonly constants: number = 4;
  readonly state: readonly Float64Array[];
  /** Once through all of them; beyond it they decay with the network, twice as fast. */
  readonly tailSamples: number;
  readonly #allpasses: readonly Allpass[];
  readonly #seconds: readonly number[];

  constructor(channel: number, sampleRateHz: number) {
    const delays = Array.from({ length: ALLPASSES }, (_, j) =>
      nextPrime(Math.round(0.0055 * pow(1.6, -j) * pow(1.13, -channel) * sampleRateHz)),
    );
    this.#seconds = delays.map((delay) => delay / sampleRateHz);
    this.#allpasses = delays.map((delay) => new Allpass(delay));
    this.state = this.#allpasses.flatMap((allpass) => allpass.state);
    this.tailSamples = delays.reduce((sum, delay) => sum + delay, 0);
  }

  reset(): void {
    for (const allpass of this.#allpasses) allpass.reset();
  }

  /**
   * Gains of the allpasses.
   *
   * @param diffusion - 0 to 1
   * @param decaySeconds - shortest decay behind them: they ring for half of it at most
   */
  design(diffusion: number, decaySeconds: number): number[] {
    return this.#seconds.map((delay) => Math.min(LARGEST_GAIN * diffusion, combGain(delay, decaySeconds / 2)));
  }

  /** Processes `x[0 .. count)` in place, with gains from index `first` of `k` on. */
  process(x: Float64Array, count: number, k: Float64Array, first: number): void {
    for (let j = 0; j < ALLPASSES; j++) this.#allpasses[j].process(x, count, k[first + j]);
  }
}
