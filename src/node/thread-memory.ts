/**
 * Memory that the threads of a mix share: how far each of them is, and what each hands on, some chunks of it.
 *
 *     done     | thread 0: 12 | thread 1: 9 | ...                  chunks
 *     strips   | channels.kick: chunk 8 | 9 | 10 | 11 | 4 ...     a ring of SLOTS chunks, two channels each
 *
 * A thread runs chunk n when all before it have done n, and all behind it have done n - SLOTS, so that the slot is free. It
 * sleeps until then: memory is bounded, and nobody runs ahead.
 *
 * @module
 */
import type { MixShare } from '../mix/mix-share.ts';
import type { MixPlan } from '../mix/plan.ts';
import { hearersOf } from '../mix/plan-strips.ts';

/** Chunks that a thread can be ahead of the next. */
const SLOTS = 8;
/** Channels that a strip has at most. */
const CHANNELS = 2;

/** The memory and its use: what every thread of a mix is given. */
export interface SharedChunks {
  readonly memory: SharedArrayBuffer;
  readonly threads: number;
  readonly chunkFrames: number;
  /** Which thread, from 0, runs each strip. */
  readonly owners: ReadonlyMap<string, number>;
  /** Strips that are heard on other threads than their own. */
  readonly shared: readonly string[];
}

/** Memory for a mix whose strips have these threads. */
export function sharedChunks(plan: MixPlan, owners: ReadonlyMap<string, number>, chunkFrames: number): SharedChunks {
  const threads = Math.max(...owners.values()) + 1;
  const shared = [...owners.keys()].filter((path) =>
    hearersOf(plan, path).some((hearer) => owners.get(hearer) !== owners.get(path)),
  );
  const values = shared.length * SLOTS * CHANNELS * chunkFrames;
  const memory = new SharedArrayBuffer((threads + values) * Float64Array.BYTES_PER_ELEMENT);
  return { memory, threads, chunkFrames, owners, shared };
}

/** What one thread sees of it. */
export class ThreadMemory implements MixShare {
  readonly #thread: number;
  readonly #owners: ReadonlyMap<string, number>;
  readonly #done: Int32Array;
  readonly #rings = new Map<string, readonly (readonly Float64Array[])[]>(); // slots of channels
  #chunk = 0;

  constructor({ memory, threads, chunkFrames, owners, shared }: SharedChunks, thread: number) {
    this.#thread = thread;
    this.#owners = owners;
    this.#done = new Int32Array(memory, 0, threads);
    let at = threads * Float64Array.BYTES_PER_ELEMENT;
    const part = () => {
      const channel = new Float64Array(memory, at, chunkFrames);
      at += channel.byteLength;
      return channel;
    };
    for (const path of shared) {
      this.#rings.set(
        path,
        Array.from({ length: SLOTS }, () => Array.from({ length: CHANNELS }, part)),
      );
    }
  }

  runs(path: string): boolean {
    return this.#owners.get(path) === this.#thread;
  }

  take(path: string, into: readonly Float64Array[]): void {
    const slot = this.#slot(path);
    if (slot)
      into.forEach((x, c) => {
        x.set(slot[c]);
      });
  }

  give(path: string, from: readonly Float64Array[]): void {
    const slot = this.#slot(path);
    if (slot)
      from.forEach((x, c) => {
        slot[c].set(x);
      });
  }

  /** Sleeps until the next chunk can run here, but no longer than `longestMs`; returns whether it can. */
  wait(longestMs?: number): boolean {
    const done = this.#done;
    for (let other = 0; other < done.length; other++) {
      const needed = other < this.#thread ? this.#chunk + 1 : this.#chunk - SLOTS + 1;
      for (let is = Atomics.load(done, other); other !== this.#thread && is < needed; is = Atomics.load(done, other)) {
        if (Atomics.wait(done, other, is, longestMs) === 'timed-out') return false;
      }
    }
    return true;
  }

  /** Tells the others that the chunk is done. */
  advance(): void {
    Atomics.store(this.#done, this.#thread, ++this.#chunk);
    Atomics.notify(this.#done, this.#thread);
  }

  #slot(path: string): readonly Float64Array[] | undefined {
    return this.#rings.get(path)?.[this.#chunk % SLOTS];
  }
}
