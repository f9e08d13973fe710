/**
 * Combs and allpasses of a reverberation in WebAssembly.
 *
 * Their rings are too long to be copied in and out of the scratch memory: a reverberation has an instance of the module of
 * its own, whose memory grows once and holds them for its life. In doubles from the start:
 *
 *     feed       what all tanks hear   at   0
 *     k          constants                128
 *     rows       what they make           192      in the form that `simd-rows.ts` states
 *     tanks      one per channel                   in the form that `simd/tank.ts` states
 *
 * @module
 */
import { copy } from '../core/copy.ts';
import { BLOCK } from '../core/pieces.ts';
import type { TankDelays, TankLoops, TankMemory } from '../core/simd-kernels.ts';
import { type RowExports, roomOfRows, simdRows } from './simd-rows.ts';

/** What the module exports for tanks; addresses in bytes, lengths in doubles. */
interface TankExports extends RowExports {
  tank(tank: number, banks: number, allpasses: number, k: number, x: number, y: number, count: number): void;
}

const BYTES = 8;
const FEED = 0;
const K = 128;
const ROWS = 192;
const PAGE_DOUBLES = 8192;
const COMBS_IN_BANK = 4;

/** Tanks in one new instance of the module, or nothing where there is no memory for them. */
export function simdTanks(module: object, delays: readonly TankDelays[]): TankMemory | undefined {
  const lengths = delays.map(lengthOf);
  let next = ROWS + roomOfRows(delays.length);
  const doubles = lengths.reduce((sum, length) => sum + length, next);
  try {
    const exports = new WebAssembly.Instance(module).exports as unknown as TankExports;
    const { memory } = exports;
    memory.grow(Math.max(0, Math.ceil(doubles / PAGE_DOUBLES) - memory.buffer.byteLength / BYTES / PAGE_DOUBLES));
    const feed = new Float64Array(memory.buffer, BYTES * FEED, BLOCK),
      rows = simdRows(exports, ROWS, delays.length);
    const loops = delays.map((channel, c) => {
      next += lengths[c];
      return new SimdTank(exports, channel, next - lengths[c], feed, rows.rows[c]);
    });
    return { loops, feed, rows };
  } catch {
    return undefined;
  }
}

/** Doubles of a tank. */
function lengthOf({ combs, allpasses }: TankDelays): number {
  const rings = [...combs, ...allpasses].reduce((sum, length) => sum + length, 0);
  return 3 * combs.length + 2 * allpasses.length + rings;
}

/** The loops of one channel. What it remembers has the form that the plain loops give it. */
class SimdTank implements TankLoops {
  readonly state: readonly Float64Array[];
  readonly #exports: TankExports;
  readonly #banks: number;
  readonly #allpasses: number;
  readonly #constants: number;
  readonly #at: number;
  readonly #feed: Float64Array;
  readonly #row: Float64Array;
  readonly #rowAt: number;
  readonly #k: Float64Array;

  /** @param at - its place in the memory, in doubles */
  constructor(
    exports: TankExports,
    { combs, allpasses }: TankDelays,
    at: number,
    feed: Float64Array,
    row: Float64Array,
  ) {
    const { buffer } = exports.memory;
    let next = at;
    const view = (length: number): Float64Array => {
      next += length;
      return new Float64Array(buffer, BYTES * (next - length), length);
    };
    const state: Float64Array[] = [];
    for (let b = 0; b < combs.length; b += COMBS_IN_BANK) {
      const lengths = combs.slice(b, b + COMBS_IN_BANK);
      view(COMBS_IN_BANK).set(lengths);
      const places = view(COMBS_IN_BANK),
        echoes = view(COMBS_IN_BANK);
      state.push(...lengths.map(view), places, echoes);
    }
    view(allpasses.length).set(allpasses);
    const places = view(allpasses.length);
    state.push(...allpasses.map(view), places);
    this.state = state;
    this.#exports = exports;
    this.#banks = combs.length / COMBS_IN_BANK;
    this.#allpasses = allpasses.length;
    this.#constants = 1 + allpasses.length + 2 * combs.length;
    this.#at = BYTES * at;
    this.#feed = feed;
    this.#row = row;
    this.#rowAt = row.byteOffset;
    this.#k = new Float64Array(buffer, BYTES * K, this.#constants);
  }

  reset(): void {
    for (const array of this.state) array.fill(0);
  }

  process(x: Float64Array, y: Float64Array, count: number, k: Float64Array, first: number): void {
    copy(k, first, this.#k, 0, this.#constants);
    if (x !== this.#feed) copy(x, 0, this.#feed, 0, count);
    this.#exports.tank(this.#at, this.#banks, this.#allpasses, BYTES * K, BYTES * FEED, this.#rowAt, count);
    if (y !== this.#row) copy(this.#row, 0, y, 0, count);
  }
}
