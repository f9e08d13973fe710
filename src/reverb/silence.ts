/**
 * Silence in front of a reverberation: when its loops can be emptied, so that they do not ring on in denormal numbers.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';

/** Below this, 600 dB under full scale, a sound is none. */
const SILENCE = 1e-30;

/** Decades from the loudest that loops can hold, 1e8 for an input of 1e6, to far below {@link SILENCE}. */
const DECADES_TO_SILENCE = 44;

/** Counts the silence in front of loops that decay. */
export class SilenceWatch implements Part {
  readonly state: readonly Float64Array[];
  readonly #now = new Float64Array(2); // silent samples since the last sound; 1 while the loops are empty

  constructor() {
    this.state = [this.#now];
  }

  reset(): void {
    this.#now.fill(0);
  }

  /** Whether the loops are empty. */
  get empty(): boolean {
    return this.#now[1] === 1;
  }

  /** Counts anew: the decay has changed. */
  restart(): void {
    this.#now[0] = 0;
  }

  /** Whether the loops, which decay by `k[at]` decades a sample, should be emptied now; they are taken to be from here. */
  shouldEmpty(k: Float64Array, at: number): boolean {
    if (this.empty || this.#now[0] * k[at] < DECADES_TO_SILENCE) return false;
    this.#now[1] = 1;
    return true;
  }

  /** Listens to `x[c][0 .. count)`; silent samples become 0. */
  listen(x: readonly Float64Array[], count: number): void {
    const now = this.#now;
    let silent = count;
    for (let c = 0; c < x.length; c++) silent = Math.min(silent, silentSamples(x[c], count));
    now[0] = silent === count ? now[0] + count : silent;
    if (silent < count) now[1] = 0;
  }
}

/** How many samples at the end are silent; silent ones become 0. Two at a time where both sound. */
function silentSamples(x: Float64Array, count: number): number {
  const limit = SILENCE;
  let sounding = 0; // samples up to the last that is not silent
  for (let i = 0; i < count; i++) {
    if (i + 1 < count && Math.abs(x[i]) >= limit && Math.abs(x[i + 1]) >= limit) sounding = ++i + 1;
    else if (Math.abs(x[i]) < limit) x[i] = 0;
    else sounding = i + 1;
  }
  return count - sounding;
}
