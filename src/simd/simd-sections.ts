/**
 * Second-order sections in series that run in WebAssembly.
 *
 * They use the memory of the module behind the half-bands (`simd-stages.ts`), as scratch: what a block remembers is copied
 * in before each piece and out after it. In doubles from the start of the memory:
 *
 *     room       sections at work                          at 12 288
 *     x          the first channel, zeros around it           12 464
 *     z          the second channel                           12 608
 *     k          coefficients, and pasts of two channels      12 736 .. 16 384
 *
 * @module
 */
import { copy } from '../core/copy.ts';
import { BLOCK } from '../core/pieces.ts';
import type { SectionRunner } from '../core/simd-kernels.ts';
import type { SimdExports } from './simd-stages.ts';

const BYTES = 8;
const ROOM = 12288;
const X = 12464;
const Z = 12608;
const K = 12736;
const END = 16384;
const COEFFICIENTS = 5; // of a section
const PASTS = 4; // of a section and channel
const AT_ONCE = 4; // samples that a section takes
/** Of less than this the plain loops are through before all is copied. */
const FEWEST_SECTIONS = 3;
const FEWEST_SAMPLES = 48;

/** Sections of a block on all of its channels. */
export class SimdSections implements SectionRunner {
  readonly #exports: SimdExports;
  readonly #sections: number;
  readonly #coefficients: Float64Array;
  readonly #pasts: readonly Float64Array[];
  readonly #k: Float64Array; // where they are copied to, as what follows
  readonly #past: Float64Array;
  readonly #otherPast: Float64Array;
  readonly #x: Float64Array;
  readonly #z: Float64Array;

  /** As `sections` of `SimdKernels` says, for as many sections as there is room for. */
  constructor(exports: SimdExports, coefficients: Float64Array, pasts: readonly Float64Array[]) {
    const there = (at: number, length: number): Float64Array =>
      new Float64Array(exports.memory.buffer, BYTES * at, length);
    this.#exports = exports;
    this.#sections = coefficients.length / COEFFICIENTS;
    this.#coefficients = coefficients;
    this.#pasts = pasts;
    this.#k = there(K, coefficients.length);
    this.#past = there(K + coefficients.length, pasts[0].length);
    this.#otherPast = there(K + coefficients.length + pasts[0].length, pasts[0].length);
    this.#x = there(X, BLOCK);
    this.#z = there(Z, BLOCK);
  }

  run(rows: readonly Float64Array[], count: number): number {
    if (count < FEWEST_SAMPLES) return 0;
    const exports = this.#exports,
      sections = this.#sections,
      pasts = this.#pasts;
    const past = this.#past,
      otherPast = this.#otherPast,
      x = this.#x,
      z = this.#z;
    const pastAt = BYTES * (K + COEFFICIENTS * sections),
      otherPastAt = pastAt + BYTES * PASTS * sections;
    const done = count - (count % AT_ONCE);
    this.#k.set(this.#coefficients);
    for (let c = 0; c < rows.length; c += 2) {
      const d = c + 1;
      past.set(pasts[c]);
      copy(rows[c], 0, x, 0, done);
      if (d < rows.length) {
        otherPast.set(pasts[d]);
        copy(rows[d], 0, z, 0, done);
        exports.sectionsOnTwo(BYTES * ROOM, BYTES * K, sections, pastAt, otherPastAt, BYTES * X, BYTES * Z, done);
        copy(z, 0, rows[d], 0, done);
        pasts[d].set(otherPast);
      } else exports.sectionsOnOne(BYTES * ROOM, BYTES * K, sections, pastAt, BYTES * X, done);
      copy(x, 0, rows[c], 0, done);
      pasts[c].set(past);
    }
    return done;
  }
}

/** Whether there is room for these sections, and work enough. */
export function isWorthIt({ length }: Float64Array): boolean {
  const sections = length / COEFFICIENTS;
  return sections >= FEWEST_SECTIONS && K + (COEFFICIENTS + 2 * PASTS) * sections <= END;
}
