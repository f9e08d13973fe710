/**
 * Half-band stages whose sums are made in WebAssembly.
 *
 * The memory of the module is scratch that all share: a block's taps and its past lie in an array of its own, which is
 * copied in before the way up and out after the way down. In doubles from the start of the memory:
 *
 *     samples    x in, z out            at      0
 *     held       taps and past                256
 *     window     past and x              2 048
 *     second     the other phase           4 096
 *     rates      2x, 4x, 8x, 16x         6 144  6 656  7 680  9 728
 *
 * @module
 */
import { copy } from '../core/copy.ts';
import { BLOCK } from '../core/pieces.ts';
import type { OversamplingStages } from '../core/simd-kernels.ts';
import type { RowExports } from './simd-rows.ts';

/** What the module exports; addresses in bytes, lengths in doubles. */
export interface SimdExports extends RowExports {
  up(taps: number, k: number, past: number, x: number, count: number, window: number, even: number, y: number): void;
  down(
    taps: number,
    k: number,
    pastEven: number,
    lengthEven: number,
    pastOdd: number,
    lengthOdd: number,
    y: number,
    late: number,
    count: number,
    even: number,
    odd: number,
    z: number,
  ): void;
  hardClip(y: number, count: number, k: number): void;
  cubicClip(y: number, count: number, k: number): void;
  tanhClip(y: number, count: number, k: number, table: number): void;
  compressorGains(row: number, count: number, k: number, log2Table: number, exp2Table: number): void;
  compress(
    rows: number,
    distance: number,
    channels: number,
    row: number,
    count: number,
    k: number,
    log2Table: number,
    exp2Table: number,
  ): void;
  sectionsOnTwo(
    room: number,
    k: number,
    sections: number,
    past: number,
    otherPast: number,
    x: number,
    z: number,
    count: number,
  ): void;
  sectionsOnOne(room: number, k: number, sections: number, past: number, x: number, count: number): void;
}

const BYTES = 8;
const SAMPLES = 0;
const HELD = 256;
const WINDOW = 2048;
const SECOND = 4096;
const RATES = [6144, 6656, 7680, 9728];
/** Outputs are made by eight: what stands behind an array may be overwritten. */
const SPARE = 16;

/** A stage's addresses in bytes, and its lengths. */
interface Stage {
  readonly k: number;
  readonly upTaps: number;
  readonly downTaps: number;
  readonly past: number;
  readonly pastEven: number;
  readonly lengthEven: number;
  readonly pastOdd: number;
  readonly lengthOdd: number;
  readonly late: number;
  readonly rate: number;
}

/** One channel's way up and down. What it remembers has the form that the plain stages give it. */
export class SimdStages implements OversamplingStages {
  readonly state: readonly Float64Array[];
  readonly #exports: SimdExports;
  readonly #stages: readonly Stage[];
  readonly #held: Float64Array; // taps, then state
  readonly #heldThere: Float64Array; // their place in the memory, as that of all that follows
  readonly #samples: Float64Array;
  readonly #high: Float64Array;

  /** As {@link OversamplingStages}' maker in `SimdKernels` says; at least one stage. */
  constructor(exports: SimdExports, pairs: readonly Float64Array[], lateSamples: number) {
    const taps = pairs.flatMap((row) => [...Array.from(row, (tap) => 2 * tap), ...row]);
    const parts: { readonly at: number; readonly length: number }[] = [];
    let nextTap = HELD,
      next = HELD + taps.length;
    const hold = (length: number): number => {
      parts.push({ at: next - HELD, length });
      next += length;
      return BYTES * (next - length);
    };
    const ups = pairs.map(({ length: k }) => {
      nextTap += 2 * k;
      return { k, upTaps: BYTES * (nextTap - 2 * k), downTaps: BYTES * (nextTap - k), past: hold(2 * k - 1) };
    });
    this.#exports = exports;
    this.#stages = ups.map((up, s): Stage => {
      const late = s === pairs.length - 1 ? lateSamples : 0;
      const lengthEven = 2 * up.k - 1 + Math.ceil(late / 2),
        lengthOdd = up.k + Math.floor(late / 2);
      const pastEven = hold(lengthEven),
        pastOdd = hold(lengthOdd);
      return { ...up, pastEven, lengthEven, pastOdd, lengthOdd, late: late % 2, rate: BYTES * RATES[s] };
    });
    this.#held = new Float64Array(next - HELD);
    this.#held.set(taps);
    this.state = parts.map(({ at, length }) => this.#held.subarray(at, at + length));
    const { buffer } = exports.memory;
    this.#heldThere = new Float64Array(buffer, BYTES * HELD, this.#held.length);
    this.#samples = new Float64Array(buffer, BYTES * SAMPLES, BLOCK);
    const last = pairs.length - 1;
    this.#high = new Float64Array(buffer, BYTES * RATES[last], (BLOCK << (last + 1)) + SPARE);
  }

  reset(): void {
    for (const past of this.state) past.fill(0);
  }

  up(x: Float64Array, count: number): Float64Array {
    const samples = this.#samples,
      stages = this.#stages;
    this.#heldThere.set(this.#held);
    copy(x, 0, samples, 0, count);
    let from = BYTES * SAMPLES;
    for (let s = 0; s < stages.length; s++) {
      const { k, upTaps, past, rate } = stages[s];
      this.#exports.up(upTaps, k, past, from, count << s, BYTES * WINDOW, BYTES * SECOND, rate);
      from = rate;
    }
    return this.#high;
  }

  down(x: Float64Array, count: number): void {
    const samples = this.#samples,
      stages = this.#stages;
    for (let s = stages.length - 1; s >= 0; s--) {
      const { k, downTaps, pastEven, lengthEven, pastOdd, lengthOdd, rate, late } = stages[s];
      this.#exports.down(
        downTaps,
        k,
        pastEven,
        lengthEven,
        pastOdd,
        lengthOdd,
        rate,
        late,
        count << s,
        BYTES * WINDOW,
        BYTES * SECOND,
        s === 0 ? BYTES * SAMPLES : stages[s - 1].rate,
      );
    }
    this.#held.set(this.#heldThere);
    copy(samples, 0, x, 0, count);
  }
}
