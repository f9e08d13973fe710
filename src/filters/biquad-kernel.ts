/**
 * Runs second-order sections in series, each in direct form 1:
 *
 *     x --> section 0 --> section 1 --> ... --> y        y[n] = (b0 x[n] + b1 x[n-1] + b2 x[n-2] - a2 y[n-2]) - a1 y[n-1]
 *
 * The state of direct form 1 is the past of the signals themselves, so coefficients may move from sample to sample
 * without a jump, and the newest y enters last, which keeps the recurrence short. Two channels run side by side, each
 * working while the other waits for its y[n-1]: a third faster than one after the other, with the same bits.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import type { SectionRunner, SimdKernels } from '../core/simd-kernels.ts';
import type { BiquadCoefficients } from './biquad-coefficients.ts';

const STRIDE = 5; // coefficients of a section
const PAST = 4; // x[n-1] x[n-2] y[n-1] y[n-2]
const SILENCE = 1e-60; // (-600 dBFS)^2; far above where doubles lose digits and processors slow down

/** What a kernel works with. */
interface SectionNumbers {
  readonly coefficients: Float64Array;
  /** What each section has of the past of every channel. */
  readonly pasts: readonly Float64Array[];
  readonly runner?: SectionRunner | undefined;
}

/** Sections in series over some channels. Make it part of a processor with `own`, and call `flush` from `onGrid`. */
export class BiquadKernel implements Part {
  /** b0 b1 b2 a1 a2 of the first section, then of the next. They are state: saved and restored, kept by `reset`. */
  readonly coefficients: Float64Array;
  readonly state: readonly Float64Array[];
  readonly sections: number;
  readonly channels: number;
  readonly #pasts: readonly Float64Array[];
  readonly #runner: SectionRunner | undefined;

  /**
   * All sections begin as y = x.
   *
   * @param simd - does the work of all but short pieces, if given; with the same bits
   */
  constructor(sections: number, channels: number, simd?: SimdKernels, numbers = newNumbers(sections, channels, simd)) {
    const { coefficients, pasts, runner } = numbers;
    this.sections = sections;
    this.channels = channels;
    this.coefficients = coefficients;
    this.state = [coefficients, ...pasts];
    this.#pasts = pasts;
    this.#runner = runner;
    writeSections(coefficients, []);
  }

  /** A kernel of some of the sections, which are run and changed through either. */
  part(first: number, sections: number): BiquadKernel {
    const rowOf = (row: Float64Array, stride: number): Float64Array =>
      row.subarray(stride * first, stride * (first + sections));
    return new BiquadKernel(sections, this.channels, undefined, {
      coefficients: rowOf(this.coefficients, STRIDE),
      pasts: this.#pasts.map((past) => rowOf(past, PAST)),
    });
  }

  /** Forgets the signal; keeps the coefficients. */
  reset(): void {
    for (const past of this.#pasts) past.fill(0);
  }

  /** Filters `x[c][0 .. count)` in place. */
  run(x: readonly Float64Array[], count: number): void {
    const k = this.coefficients,
      pasts = this.#pasts;
    const done = this.#runner ? this.#runner.run(x, count) : 0;
    if (done === count) return;
    for (let c = 0; c < x.length; c += 2) {
      const d = c + 1 < x.length ? c + 1 : c;
      for (let s = 0; STRIDE * s < k.length; s++) runSection(k, s, pasts[c], pasts[d], x[c], x[d], done, count);
    }
  }

  /**
   * Turns a past that has all but died away into silence; to be called on the grid of 128 samples. Input and output are
   * judged apart: a high-pass fed with DC has a loud past of x while its y dies away.
   */
  flush(): void {
    for (const past of this.#pasts) {
      for (let p = 0; p < past.length; p += 2) {
        const last = past[p],
          before = past[p + 1];
        if (last * last + before * before < SILENCE) past[p] = past[p + 1] = 0;
      }
    }
  }
}

/** All in one array, which a runner copies at once. */
function newNumbers(sections: number, channels: number, simd: SimdKernels | undefined): SectionNumbers {
  const all = new Float64Array((STRIDE + PAST * channels) * sections);
  const pastOf = (channel: number): Float64Array => {
    const at = (STRIDE + PAST * channel) * sections;
    return all.subarray(at, at + PAST * sections);
  };
  return {
    coefficients: all.subarray(0, STRIDE * sections),
    pasts: Array.from({ length: channels }, (_, c) => pastOf(c)),
    runner: simd?.sections(sections, all),
  };
}

/** Writes sections as a row of coefficients; what is left of the row becomes y = x. */
export function writeSections(row: Float64Array, sections: readonly BiquadCoefficients[]): void {
  for (let i = 0; i < row.length; i++) row[i] = i % STRIDE === 0 ? 1 : 0;
  row.set(sections.flatMap(({ b0, b1, b2, a1, a2 }) => [b0, b1, b2, a1, a2]));
}

/**
 * Samples `start` to `end` of two channels through one section: x becomes y, z becomes w. A channel without another comes as
 * both of them.
 */
function runSection(
  k: Float64Array,
  section: number,
  pastOfX: Float64Array,
  pastOfZ: Float64Array,
  x: Float64Array,
  z: Float64Array,
  start: number,
  end: number,
): void {
  const at = STRIDE * section,
    p = PAST * section;
  const b0 = k[at],
    b1 = k[at + 1],
    b2 = k[at + 2],
    a1 = k[at + 3],
    a2 = k[at + 4];
  let x1 = pastOfX[p],
    x2 = pastOfX[p + 1],
    y1 = pastOfX[p + 2],
    y2 = pastOfX[p + 3];
  let z1 = pastOfZ[p],
    z2 = pastOfZ[p + 1],
    w1 = pastOfZ[p + 2],
    w2 = pastOfZ[p + 3];

  if (x === z)
    for (let i = start; i < end; i++) {
      const u = x[i];
      const y = b0 * u + b1 * x1 + b2 * x2 - a2 * y2 - a1 * y1;
      x[i] = y;
      x2 = x1;
      x1 = u;
      y2 = y1;
      y1 = y;
    }
  else
    for (let i = start; i < end; i++) {
      const u = x[i],
        v = z[i];
      const y = b0 * u + b1 * x1 + b2 * x2 - a2 * y2 - a1 * y1,
        w = b0 * v + b1 * z1 + b2 * z2 - a2 * w2 - a1 * w1;
      x[i] = y;
      z[i] = w;
      x2 = x1;
      x1 = u;
      y2 = y1;
      y1 = y;
      z2 = z1;
      z1 = v;
      w2 = w1;
      w1 = w;
    }

  pastOfZ[p] = z1;
  pastOfZ[p + 1] = z2;
  pastOfZ[p + 2] = w1;
  pastOfZ[p + 3] = w2;
  pastOfX[p] = x1; // the last word, where both are one
  pastOfX[p + 1] = x2;
  pastOfX[p + 2] = y1;
  pastOfX[p + 3] = y2;
}
