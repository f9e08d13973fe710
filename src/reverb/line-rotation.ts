/**
 * Modulation of a feedback network without pitch: pairs of lines are turned into each other, back and forth.
 *
 *     [u']   [c -s] [u]        t = depth sin(2 pi phase),    c = (1 - t^2) / (1 + t^2),    s = 2 t / (1 + t^2)
 *     [v'] = [s  c] [v]
 *
 * c and s lie on the unit circle for every t, so the matrix is orthogonal at every instant and adds or takes no energy;
 * and since no delay moves, no tone is bent. What moves is which line feeds which: resonances never settle. The sine is
 * followed by straight lines over 128 samples; every pair has a rate of its own.
 *
 * Source: S. J. Schlecht, E. A. P. Habets, "Time-varying feedback matrices in feedback delay networks and their application
 * in artificial reverberation", JASA 138(3), 2015. Pairs and rates are ours.
 *
 * @module
 */
import { cosOfTurns } from '../core/maths.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';

/** Rates of the pairs lie between this share of the rate asked for and its inverse. */
const SLOWEST_SHARE = 0.75;

const GOLDEN = 0.6180339887498949;

/** Turns the lines of a network, two by two. */
export class LineRotation implements Part {
  readonly state: readonly Float64Array[];
  readonly #phases: Float64Array; // in turns, at the start of the present 128 samples
  readonly #from: Float64Array; // sines at the start and the end of the present 128 samples
  readonly #to: Float64Array;
  readonly #at = new Float64Array(1); // place in them
  readonly #blockSeconds: number;

  constructor(lines: number, sampleRateHz: number) {
    const pairs = lines / 2;
    this.#phases = new Float64Array(pairs);
    this.#from = new Float64Array(pairs);
    this.#to = new Float64Array(pairs);
    this.#blockSeconds = BLOCK / sampleRateHz;
    this.state = [this.#phases, this.#from, this.#to, this.#at];
    this.reset();
  }

  reset(): void {
    this.#at[0] = BLOCK; // the next piece begins a block
    for (let p = 0; p < this.#phases.length; p++) {
      this.#phases[p] = spread(p);
      this.#to[p] = sineOf(this.#phases[p]);
    }
  }

  /** Begins the next 128 samples, with `rateHz` = k[at + 1]; a piece may not cross into them before. */
  beginBlock(k: Float64Array, at: number): void {
    const phases = this.#phases;
    const rate = k[at + 1] * this.#blockSeconds;
    this.#at[0] = 0;
    for (let p = 0; p < phases.length; p++) {
      const share = SLOWEST_SHARE + (1 / SLOWEST_SHARE - SLOWEST_SHARE) * spread(p);
      const phase = phases[p] + rate * share;
      phases[p] = phase - Math.floor(phase);
      this.#from[p] = this.#to[p];
      this.#to[p] = sineOf(phases[p]);
    }
  }

  /** Goes on by `count` samples in which all lines are silent. */
  skip(count: number): void {
    this.#at[0] += count;
  }

  /** Turns `x[line][0 .. count)`, with depth t = k[at]. */
  process(x: readonly Float64Array[], count: number, k: Float64Array, at: number): void {
    const place = this.#at[0];
    this.skip(count);
    if (k[at] === 0) return;
    for (let p = 0; p < this.#phases.length; p++) {
      turn(x[2 * p], x[2 * p + 1], count, k, at, this.#from, this.#to, p, place);
    }
  }
}

/** Shares of 1 by the golden ratio, for phases and rates: no two of them come near each other. */
function spread(pair: number): number {
  return (pair * GOLDEN) % 1;
}

function sineOf(turns: number): number {
  return cosOfTurns(turns - 0.25);
}

function turn(
  x: Float64Array,
  y: Float64Array,
  count: number,
  k: Float64Array,
  at: number,
  from: Float64Array,
  to: Float64Array,
  pair: number,
  place: number,
): void {
  const start = k[at] * from[pair],
    step = (k[at] * (to[pair] - from[pair])) / 128;
  for (let i = 0; i < count; i++) {
    const t = start + step * (place + i);
    const square = t * t;
    const scale = 1 / (1 + square);
    const c = (1 - square) * scale,
      s = (t + t) * scale;
    const u = x[i],
      v = y[i];
    x[i] = c * u - s * v;
    y[i] = s * u + c * v;
  }
}
