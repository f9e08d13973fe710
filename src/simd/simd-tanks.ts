/**
 * Combs and allpasses of a reverberation in WebAssembly.
 *
 * Their rings are too long to be copied in and out of the scratch memory: a reverberation has an instance of the module of
 * its own, whose memory grows once and holds them for its life. In doubles from the start:
 *
 *     x          what goes in          at   0
 *     y          what comes out           128
 *     k          constants                256
 *     tanks      one per channel          320      in the form that `simd/tank.ts` states
 *
 * @module
 */
import { copy } from '../core/copy.ts';
import { BLOCK } from '../core/pieces.ts';
import type { TankDelays, TankLoops } from '../core/simd-kernels.ts';

/** What the module exports for tanks; addresses in bytes, lengths in doubles. */
interface TankExports {
  readonly memory: { readonly buffer: ArrayBuffer; grow(pages: number): number };
  tank(tank: number, banks: number, allpasses: number, k: number, x: number, y: number, count: number): void;
}

const BYTES = 8;
const X = 0;
const Y = 128;
const K = 256;
const TANKS = 320;
const PAGE_DOUBLES = 8192;
const COMBS_IN_BANK = 4;

/** Tanks in one new instance of the module, or nothing where there is no memory for them. */
export function simdTanks(module: object, delays: readonly TankDelays[]): SimdTank[] | undefined {
  const lengths = delays.map(lengthOf);
  const doubles = lengths.reduce((sum, length) => sum + length, TANKS);
  try {
    const exports = new WebAssembly.Instance(module).exports as unknown as TankExports;
    const { memory } = exports;
    memory.grow(Math.max(0, Math.ceil(doubles / PAGE_DOUBLES) - memory.buffer.byteLength / BYTES / PAGE_DOUBLES));
    let next = TANKS;
    return delays.map((channel, c) => {
      next += lengths[c];
      return new SimdTank(exports, channel, next - lengths[c]);
    });
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
  readonly #x: Float64Array;
  readonly #y: Float64Array;
  readonly #k: Float64Array;

  /** @param at - its place in the memory, in doubles */
  constructor(exports: TankExports, { combs, allpasses }: TankDelays, at: number) {
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
    this.#x = new Float64Array(buffer, BYTES * X, BLOCK);
    this.#y = new Float64Array(buffer, BYTES * Y, BLOCK);
    this.#k = new Float64Array(buffer, BYTES * K, this.#constants);
  }

  reset(): void {
    for (const array of this.state) array.fill(0);
  }

  process(x: Float64Array, y: Float64Array, count: number, k: Float64Array, first: number): void {
    copy(k, first, this.#k, 0, this.#constants);
    copy(x, 0, this.#x, 0, count);
    this.#exports.tank(this.#at, this.#banks, this.#allpasses, BYTES * K, BYTES * X, BYTES * Y, count);
    copy(this.#y, 0, y, 0, count);
  }
}
