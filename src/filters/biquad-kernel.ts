/**
 * Runs second-order sections in series, each in direct form 1:
 *
 *     x --> section 0 --> section 1 --> ... --> y        y[n] = (b0 x[n] + b1 x[n-1] + b2 x[n-2] - a2 y[n-2]) - a1 y[n-1]
 *
 * The state of direct form 1 is the past of the signals themselves, so coefficients may move from sample to sample
 * without a jump, and the newest y enters last, which keeps the recurrence short. Alone, a channel runs two samples per
 * turn, so that the two delays swap their roles instead of being copied; two channels run side by side, each working
 * while the other waits for its y[n-1]. The operations and their order are the same, and so are the bits.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import type { BiquadCoefficients } from './biquad-coefficients.ts';

const STRIDE = 5; // coefficients of a section
const PAST = 4; // x[n-1] x[n-2] y[n-1] y[n-2]
const SILENCE = 1e-60; // (-600 dBFS)^2; far above where doubles lose digits and processors slow down

/** Sections in series over some channels. Make it part of a processor with `own`, and call `flush` from `onGrid`. */
export class BiquadKernel implements Part {
  /** b0 b1 b2 a1 a2 of the first section, then of the next. They are state: saved and restored, kept by `reset`. */
  readonly coefficients: Float64Array;
  readonly state: readonly Float64Array[];
  readonly #past: Float64Array[]; // per channel

  /** All sections begin as y = x. */
  constructor(sections: number, channels: number) {
    this.coefficients = new Float64Array(STRIDE * sections);
    this.#past = Array.from({ length: channels }, () => new Float64Array(PAST * sections));
    this.state = [this.coefficients, ...this.#past];
    writeSections(this.coefficients, []);
  }

  /** Forgets the signal; keeps the coefficients. */
  reset(): void {
    for (const past of this.#past) past.fill(0);
  }

  /** Filters `x[c][0 .. count)` in place. */
  run(x: readonly Float64Array[], count: number): void {
    const k = this.coefficients;
    for (let c = 0; c < x.length; c++) {
      for (let s = 0; STRIDE * s < k.length; s++) runSection(k, s, this.#past[c], x[c], count);
    }
  }

  /**
   * Turns a past that has all but died away into silence; to be called on the grid of 128 samples. Input and output are
   * judged apart: a high-pass fed with DC has a loud past of x while its y dies away.
   */
  flush(): void {
    for (const past of this.#past) {
      for (let p = 0; p < past.length; p += 2) {
        const last = past[p],
          before = past[p + 1];
        if (last * last + before * before < SILENCE) past[p] = past[p + 1] = 0;
      }
    }
  }
}

/** Writes sections as a row of coefficients; what is left of the row becomes y = x. */
export function writeSections(row: Float64Array, sections: readonly BiquadCoefficients[]): void {
  for (let i = 0; i < row.length; i++) row[i] = i % STRIDE === 0 ? 1 : 0;
  row.set(sections.flatMap(({ b0, b1, b2, a1, a2 }) => [b0, b1, b2, a1, a2]));
}

/** One channel through one section. */
function runSection(k: Float64Array, section: number, past: Float64Array, x: Float64Array, count: number): void {
  const at = STRIDE * section,
    p = PAST * section;
  const b0 = k[at],
    b1 = k[at + 1],
    b2 = k[at + 2],
    a1 = k[at + 3],
    a2 = k[at + 4];
  let x1 = past[p],
    x2 = past[p + 1],
    y1 = past[p + 2],
    y2 = past[p + 3];

  for (let i = 0; i < count; i++) {
    const x0 = x[i];
    const y0 = b0 * x0 + b1 * x1 + b2 * x2 - a2 * y2 - a1 * y1;
    x[i] = y0;
    x2 = x1;
    x1 = x0;
    y2 = y1;
    y1 = y0;
  }

  past[p] = x1;
  past[p + 1] = x2;
  past[p + 2] = y1;
  past[p + 3] = y2;
}
