/**
 * Second-order sections in series that run in WebAssembly.
 *
 * They use the memory of the module behind the half-bands (`simd-stages.ts`), as scratch: what a block remembers is copied
 * in before each piece and out after it. In doubles from the start of the memory:
 *
 *     room       sections at work                          at 12 288
 *     numbers    coefficients, and pasts of all channels      12 464 .. 16 384
 *
 * Channels lie in the rows of the memory (`simd-rows.ts`), or are copied there and back.
 *
 * @module
 */
import { copy } from '../core/copy.ts';
import type { SectionRunner } from '../core/simd-kernels.ts';
import { ROW_BYTES } from './simd-rows.ts';
import type { SimdExports } from './simd-stages.ts';
import { ROWS } from './simd-tables.ts';

const BYTES = 8;
const ROOM = 12288;
const NUMBERS = 12464;
const END = 16384;
const COEFFICIENTS = 5; // of a section
const PASTS = 4; // of a section and channel
const AT_ONCE = 4; // samples that a section takes
const MOST_REST = AT_ONCE - 1; // samples that it leaves
/** Of less than this the plain loops are through before all is copied. */
const FEWEST_SECTIONS = 3;
const FEWEST_SAMPLES = 48;

/** Sections of a block on all of its channels. */
export class SimdSections implements SectionRunner {
  readonly #exports: SimdExports;
  readonly #rows: readonly Float64Array[];
  readonly #sections: number;
  readonly #numbers: Float64Array;
  readonly #numbersThere: Float64Array;
  readonly #rest = new Float64Array(AT_ONCE); // what follows the samples, where zeros must be

  /** As `sections` of `SimdKernels` says, for as many numbers as there is room for; `rows` are those of the memory. */
  constructor(exports: SimdExports, rows: readonly Float64Array[], sections: number, numbers: Float64Array) {
    this.#exports = exports;
    this.#rows = rows;
    this.#sections = sections;
    this.#numbers = numbers;
    this.#numbersThere = new Float64Array(exports.memory.buffer, BYTES * NUMBERS, numbers.length);
  }

  run(rows: readonly Float64Array[], count: number): number {
    if (count < FEWEST_SAMPLES) return 0;
    const exports = this.#exports,
      sections = this.#sections,
      there = this.#rows;
    const past = BYTES * PASTS * sections;
    const done = count - (count % AT_ONCE);
    this.#numbersThere.set(this.#numbers);
    let pastAt = BYTES * (NUMBERS + COEFFICIENTS * sections);
    for (let c = 0; c < rows.length; c += 2) {
      const d = c + 1,
        at = ROWS + c * ROW_BYTES;
      if (rows[c] !== there[c]) copy(rows[c], 0, there[c], 0, done);
      if (d < rows.length) {
        if (rows[d] !== there[d]) copy(rows[d], 0, there[d], 0, done);
        exports.sectionsOnTwo(BYTES * ROOM, BYTES * NUMBERS, sections, pastAt, pastAt + past, at, at + ROW_BYTES, done);
        if (rows[d] !== there[d]) copy(there[d], 0, rows[d], 0, done);
      } else {
        if (done < count) copy(there[c], done, this.#rest, 0, MOST_REST);
        exports.sectionsOnOne(BYTES * ROOM, BYTES * NUMBERS, sections, pastAt, at, done);
        if (done < count) copy(this.#rest, 0, there[c], done, MOST_REST);
      }
      if (rows[c] !== there[c]) copy(there[c], 0, rows[c], 0, done);
      pastAt += 2 * past;
    }
    this.#numbers.set(this.#numbersThere);
    return done;
  }
}

/** Whether there is room for these sections, and work enough. */
export function isWorthIt(sections: number, { length }: Float64Array): boolean {
  return sections >= FEWEST_SECTIONS && NUMBERS + length <= END;
}
