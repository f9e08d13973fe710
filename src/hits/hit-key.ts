/**
 * Hit key: a signal for a gate to listen to that knows of the hits of one drum and of nothing else.
 *
 *     key[n] = max over hits of  v 10^(-3 (n - s) / T),    n >= s      v velocity, s sample of the hit, T decay to -60 dB
 *
 * It rises at the hit by itself, so that a gate with a look-ahead begins to open exactly by the look-ahead before it; it
 * decays like a drum heard alone, so that a gate stays open the longer the harder the hit was: until the key falls below
 * its closing level, and for its hold time after that. The bleed is not in it. A ghost note opens the gate as long as its
 * velocity is above the threshold.
 *
 * With a range of the gate, the velocity also says how much is let through: see the gate's `thresholdDb`.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { requireFormat } from '../core/pieces.ts';
import { exp } from '../core/maths.ts';
import { type ParameterOptions, type ParameterTable, resolveParameters } from '../core/parameters.ts';
import type { Hit } from './hit-list.ts';

/** Parameters of a {@link HitKey}. */
export const hitKeyParameters = {
  /** How long the key of a hit takes to fall by 60 dB. */
  decayMs: { default: 400, min: 1, max: 10_000, taper: 'square' },
} as const satisfies ParameterTable;

/** Options of {@link HitKey}; {@link hitKeyParameters} gives defaults, ranges and units. */
export type HitKeyOptions = ParameterOptions<typeof hitKeyParameters>;

const LN_1000 = 6.907755278982137;

/** Where a hit stands, and its peak. */
interface Rise {
  readonly at: number;
  readonly level: number;
}

/** The key of a list of hits, to be read at any position. */
export class HitKey {
  readonly #rises: readonly Rise[];
  readonly #rate: number; // of the decay, in nepers per sample
  readonly #levels: Float64Array; // of the key just after each rise: that of the hit, or of what still sounds

  /** @param hits - sorted by time. @throws TypeError or RangeError as {@link hitKeyParameters} says */
  constructor(sampleRateHz: number, hits: readonly Pick<Hit, 'sample' | 'velocityDb'>[], options: HitKeyOptions = {}) {
    requireFormat('HitKey', { sampleRateHz, channels: 1 });
    const { decayMs } = resolveParameters('HitKey: ', hitKeyParameters, options, sampleRateHz);
    this.#rate = (LN_1000 * 1000) / (decayMs * sampleRateHz);
    this.#rises = hits.map(({ sample, velocityDb }) => ({ at: Math.floor(sample), level: dbToGain(velocityDb) }));
    this.#levels = new Float64Array(hits.length);
    this.#rises.forEach(({ at, level }, h) => {
      this.#levels[h] = Math.max(level, h > 0 ? this.#levelAfter(h - 1, at) : 0);
    });
  }

  /** Fills `key` with the samples from `start` on. */
  read(start: number, key: Float64Array, count = key.length): void {
    let h = this.#last(start);
    for (let i = 0; i < count; i++) {
      while (h + 1 < this.#rises.length && this.#rises[h + 1].at <= start + i) h++;
      key[i] = h < 0 ? 0 : this.#levelAfter(h, start + i);
    }
  }

  #levelAfter(h: number, sample: number): number {
    return this.#levels[h] * exp(-this.#rate * (sample - this.#rises[h].at));
  }

  /** The last hit at or before a sample, or -1. */
  #last(sample: number): number {
    let low = 0,
      high = this.#rises.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.#rises[middle].at <= sample) low = middle + 1;
      else high = middle;
    }
    return low - 1;
  }
}
