/**
 * Later rise: where a hit begins behind the bleed of another drum.
 *
 *     the other drum, softly          the hit
 *               |                        |
 *     ..........|~~~~~~~~~~~~~~~~~~~~~~~~|##################
 *               t                        t'
 *
 * Two drums struck a few milliseconds apart make one onset, and its first rise is the sooner of the two. Where another microphone
 * has been ahead, the stretch from that rise on is searched for a second one (`FirstRise`). In simulated kits a drum that was
 * struck once goes on to rise by 1.5 dB at most, in kits of recorded strokes by 4.4 dB, one that comes behind bleed by 5 to
 * 18 dB. A ghost note that the bleed drowns stays where it was.
 *
 * @module
 */
import { load } from '../core/pieces.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { FirstRise, RISEN_SECONDS } from './first-rise.ts';

const FURTHEST_SECONDS = 0.0125; // strokes further apart make two onsets
const REACH = { beforeSeconds: 0, afterSeconds: FURTHEST_SECONDS + RISEN_SECONDS };
const LEAST_RISE_DB = 5;
const SAME_SECONDS = 0.0005; // two measurements of one rise differ by less

/** Looks for later rises at one sample rate. */
export class LaterRise {
  readonly #rise: FirstRise;
  readonly #furthest: number;
  readonly #same: number;
  readonly #x: Float64Array;

  constructor(sampleRateHz: number) {
    this.#rise = new FirstRise(sampleRateHz, REACH);
    this.#furthest = FURTHEST_SECONDS * sampleRateHz;
    this.#same = SAME_SECONDS * sampleRateHz;
    this.#x = new Float64Array(this.#rise.before + this.#rise.after);
  }

  /** The later rise within 12.5 ms of `sample` and before that of the `next` hit, or `sample` if there is none. */
  find(source: SampleSource, sample: number, next = Infinity): number {
    const start = Math.round(sample) - this.#rise.before;
    source.read(start, this.#x);
    load(this.#x, 0, this.#x.length, this.#x, false);
    const { index, riseDb } = this.#rise.find(this.#x, this.#rise.before);
    const later = start + index;
    const within = later - sample <= this.#furthest && later < next - this.#same;
    return within && riseDb >= LEAST_RISE_DB ? later : sample;
  }
}
