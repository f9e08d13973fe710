/**
 * Inter-sample peak: how high a waveform rises between two of its samples, on a grid of 16 points to the sample.
 *
 *     y(n + p/16) = sum over j of h(p/16 + 11 - j) x[n - 11 + j],    p = 1 .. 15,    j = 0 .. 23
 *
 * h is the sinc of half the sample rate under a Kaiser window of 12 samples to each side: 24 taps. Up to 20/48 of the
 * sample rate its error is below 0.01 dB, and the grid misses at most 20 lg cos(pi (20/48) / 16) = -0.03 dB of a peak.
 *
 * Most intervals cannot hold what is looked for, a peak above a floor, and that can be proved. Let a point q lie between
 * two points that are known, r be its row less the straight line between their rows, m the largest magnitude under the
 * taps, and d the largest magnitude of x[n] - 2 x[n+1] + x[n+2] there. But for a rest e of 0.001, r is a filter g behind
 * that second difference (g: r summed up twice). So
 *
 *     |y(q)| <= max(|y(before)|, |y(after)|) + min( m sum |r|,  d sum |g| + m sum |e| )
 *
 * which becomes small fast as the known points draw together, and is small from the start where high frequencies are weak.
 * An interval is halved, and its halves again, for as long as they can hold a higher point. What comes out is the maximum
 * over all points of the grid nevertheless, to the last bit.
 *
 * Source: the bounds are derived here (triangle inequality). The grid's error: Recommendation ITU-R BS.1770-5 (11/2023),
 * Annex 2, Attachment 1.
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { LANES, symmetricFir } from './half-band.ts';
import { kaiserBeta, windowedSinc } from './kaiser-design.ts';

/** Samples of the future that an interval needs, its own end included. */
export const INTER_SAMPLE_REACH = 12;

const POINTS = 16; // of the grid, to the sample
const TAPS = 2 * INTER_SAMPLE_REACH;
const MIDDLE = INTER_SAMPLE_REACH - 1; // the tap of the sample before the interval
/** Stop band that the window is made for; of those tried, the one with the smallest error up to 20/48 of the rate. */
const ATTENUATION_DB = 65;
/** Added to each sum of magnitudes, against the roundings of the sums over 24 products. */
const ROUNDING = 1e-9;

/** What all channels share. */
export interface InterSampleTable {
  /** Rows of 24 taps, p = 0 .. 16; the first and the last are the samples themselves. */
  readonly rows: Float64Array;
  /** Sums |r|, |g| and |e|, each of its worst row, for known points 16, 8, 4 and 2 steps of the grid apart. */
  readonly bounds: readonly Float64Array[];
}

/** Builds the table: 408 Bessel functions and sines. */
export function interSampleTable(): InterSampleTable {
  const h = windowedSinc({
    cutoffCyclesPerSample: 0.5,
    halfWidthSamples: INTER_SAMPLE_REACH,
    beta: kaiserBeta(ATTENUATION_DB),
  });
  const rows = new Float64Array((POINTS + 1) * TAPS);
  for (let p = 0, at = 0; p <= POINTS; p++) {
    for (let j = 0; j < TAPS; j++) rows[at++] = h(p / POINTS + INTER_SAMPLE_REACH - 1 - j);
  }
  return { rows, bounds: [16, 8, 4, 2].map((apart) => boundsOf(rows, apart)) };
}

/** Finds inter-sample peaks of one channel that stand above a floor. */
export class InterSamplePeaks implements Part {
  readonly state: readonly Float64Array[];
  readonly #rows: Float64Array;
  readonly #middleRow: Float64Array; // first half of row 8, which is symmetric
  readonly #middles = new Float64Array(BLOCK + LANES); // y(n + 1/2) of every interval
  readonly #bounds: readonly Float64Array[];
  readonly #window = new Float64Array(TAPS - 1 + BLOCK + LANES);
  readonly #past = new Float64Array(TAPS - 1);
  readonly #y = new Float64Array(POINTS + 1); // magnitudes at the grid; NaN where nothing above the floor can be
  readonly #loudest = new Float64Array(1); // magnitude in the window
  readonly #rises: Float64Array; // how far a point can be above its known neighbours, for each distance of these

  constructor({ rows, bounds }: InterSampleTable) {
    this.#rows = rows;
    this.#middleRow = rows.slice((POINTS / 2) * TAPS, (POINTS / 2) * TAPS + TAPS / 2);
    this.#bounds = bounds;
    this.#rises = new Float64Array(bounds.length);
    this.state = [this.#past];
  }

  reset(): void {
    this.#past.fill(0);
  }

  /**
   * Takes in `x[0 .. count)`, at most 128 samples, and fills `peaks[i]` with the largest magnitude within the interval that
   * begins 12 samples before `x[i]` and ends 11 before it; with the floor, `floor[at]`, where that is not exceeded.
   * (A floor that is handed over as a number would be boxed; an array is not.)
   */
  process(x: Float64Array, count: number, floor: Float64Array, at: number, peaks: Float64Array): void {
    const window = this.#window,
      past = this.#past,
      least = floor[at];
    for (let i = 0; i < TAPS - 1; i++) window[i] = past[i];
    for (let i = 0; i < count; i++) window[TAPS - 1 + i] = x[i];
    for (let i = 0; i < TAPS - 1; i++) past[i] = window[count + i];
    for (let i = 0; i < count; i++) peaks[i] = least;
    this.#measure(count);
    if (this.#loudest[0] + this.#rises[0] <= least) return;
    // Nearly all middles are asked for where the sound is dense; all at once they cost less than each by itself.
    const middles = this.#middles,
      enough = least - this.#rises[1];
    symmetricFir(window, this.#middleRow, count, middles, 1);
    for (let i = 0; i < count; i++) {
      const a = Math.abs(window[i + MIDDLE]),
        b = Math.abs(window[i + MIDDLE + 1]),
        middle = Math.abs(middles[i]);
      if (a > enough || b > enough || middle > enough) this.#search(i, peaks);
    }
  }

  /** Makes the bounds for the samples in the window. */
  #measure(count: number): void {
    const window = this.#window,
      rises = this.#rises;
    let before = window[0],
      here = window[1],
      loudest = Math.max(Math.abs(before), Math.abs(here)),
      steepest = 0;
    for (let i = 2; i < TAPS - 1 + count; i++) {
      const after = window[i],
        level = Math.abs(after),
        bend = Math.abs(after - here - (here - before));
      if (level > loudest) loudest = level;
      if (bend > steepest) steepest = bend;
      before = here;
      here = after;
    }
    for (let d = 0; d < rises.length; d++) {
      const bound = this.#bounds[d];
      rises[d] = Math.min(bound[0] * loudest, bound[1] * steepest + bound[2] * loudest);
    }
    this.#loudest[0] = loudest;
  }

  /** Raises `peaks[i]` to the highest point of the interval, halving it until no half can hold a higher one. */
  #search(i: number, peaks: Float64Array): void {
    const window = this.#window,
      rises = this.#rises,
      y = this.#y;
    y[0] = Math.abs(window[i + MIDDLE]);
    y[POINTS] = Math.abs(window[i + MIDDLE + 1]);
    y[POINTS / 2] = Math.abs(this.#middles[i]);
    let highest = Math.max(peaks[i], y[POINTS / 2]);
    for (let level = 1, apart = POINTS / 2; apart >= 2; level++, apart >>= 1) {
      const rise = rises[level],
        half = apart >> 1;
      let known = 0;
      for (let p = half; p < POINTS; p += apart) {
        if (Math.max(y[p - half], y[p + half]) + rise > highest) {
          evaluate(window, i, this.#rows, p, y);
          known++;
          if (y[p] > highest) highest = y[p];
        } else y[p] = NaN; // and with it, as comparisons with NaN are false, all points around it
      }
      if (known === 0) break;
    }
    peaks[i] = highest;
  }
}

/** y[p] = magnitude of row p times the window from `at` on. */
function evaluate(w: Float64Array, at: number, rows: Float64Array, p: number, y: Float64Array): void {
  const start = p * TAPS;
  let a = 0,
    b = 0,
    c = 0,
    d = 0;
  for (let j = 0; j < TAPS; j += 4) {
    const t = start + j,
      i = at + j;
    a += rows[t] * w[i];
    b += rows[t + 1] * w[i + 1];
    c += rows[t + 2] * w[i + 2];
    d += rows[t + 3] * w[i + 3];
  }
  y[p] = Math.abs(a + b + (c + d));
}

/** Sums |r|, |g| and |e| of the worst row between known points so far apart. */
function boundsOf(rows: Float64Array, apart: number): Float64Array {
  const worst = new Float64Array(3);
  const row = (p: number): Float64Array => rows.subarray(p * TAPS, (p + 1) * TAPS);
  for (let p = 1; p < POINTS; p++) {
    const before = p - (p % apart),
      share = (p - before) / apart;
    const [low, high] = [row(before), row(Math.min(POINTS, before + apart))];
    const r = row(p).map((tap, j) => tap - low[j] - share * (high[j] - low[j]));
    // e, on the two middle taps, takes what keeps r from having no sum and no moment.
    const sum = r.reduce((total, tap) => total + tap, 0),
      moment = r.reduce((total, tap, j) => total + tap * (j - MIDDLE), 0);
    const e = [sum - moment, moment];
    const g = r.map((tap, j) => tap - (j === MIDDLE ? e[0] : j === MIDDLE + 1 ? e[1] : 0));
    for (let times = 0; times < 2; times++) for (let j = 1; j < TAPS; j++) g[j] += g[j - 1];
    [r, g, e].forEach((taps, i) => {
      let magnitudes = 0;
      for (const tap of taps) magnitudes += Math.abs(tap);
      worst[i] = Math.max(worst[i], magnitudes);
    });
  }
  return worst.map((bound) => bound + ROUNDING);
}
