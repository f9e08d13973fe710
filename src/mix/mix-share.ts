/**
 * Share: what of a mix one thread runs, and how the threads hear each other.
 *
 *     running order      kick  snare  hat  space | room  crush  drums  mixBus
 *     thread             ----------- 0 --------->| ----------- 1 ----------->
 *
 * No thread hears a later one, so they form a pipeline: each is some chunks ahead of the next, and none waits for what it must
 * make itself. The running order is cut into parts of about one cost; then strips change over between neighbours, where they
 * may, as long as that makes the loads more alike. A strip that is heard elsewhere is handed on as it is behind its chain;
 * faders, pans and delays belong to whoever hears it, who adds up in the order in which a single thread would. Hence the same
 * bits, whatever the shares are.
 *
 * @module
 */
/** What of a mix runs here, and the way to and from the rest. */
export interface MixShare {
  /** Whether the strip at `path` runs here. */
  runs(path: string): boolean;
  /** Fills `into`, a chunk long, with what a strip that runs elsewhere has made of the present chunk. */
  take(path: string, into: readonly Float64Array[]): void;
  /** Hands on what a strip that runs here has made of the present chunk. */
  give(path: string, from: readonly Float64Array[]): void;
}

/** Strips that hear each other, in their running order, with their costs. */
export interface CostedStrip {
  readonly path: string;
  readonly cost: number;
  /** Paths of those who hear it. */
  readonly hearers: readonly string[];
}

/**
 * Which thread, from 0, runs each strip: it hears none of a later one, and the last strip is the last one's.
 *
 * @param strips - each behind all it hears
 * @param threads - how many there may be; there are no more than strips
 */
export function shareStrips(strips: readonly CostedStrip[], threads: number): ReadonlyMap<string, number> {
  const count = Math.min(threads, strips.length);
  const share = new Map<string, number>();
  const loads = new Array<number>(count).fill(0);
  const all = strips.reduce((sum, { cost }) => sum + cost, 0);
  let before = 0;
  strips.forEach(({ path, cost }, i) => {
    // The thread in whose part the middle of the strip falls; the last strip never comes to lie on an earlier one.
    const thread =
      i === strips.length - 1 ? count - 1 : Math.min(count - 1, Math.floor((count * (before + cost / 2)) / all));
    share.set(path, thread);
    loads[thread] += cost;
    before += cost;
  });
  while (strips.some((strip) => moveToNeighbour(strip, strips, share, loads)));
  return share;
}

/** Moves a strip to the thread before or behind its own if it may be there, and the loads are more alike then. */
function moveToNeighbour(
  { path, cost, hearers }: CostedStrip,
  strips: readonly CostedStrip[],
  share: Map<string, number>,
  loads: number[],
): boolean {
  const of = (other: string) => share.get(other) as number;
  const from = of(path);
  const mayRun = (thread: number) =>
    path !== strips.at(-1)?.path &&
    hearers.every((hearer) => of(hearer) >= thread) &&
    strips.every((strip) => !strip.hearers.includes(path) || of(strip.path) <= thread);
  for (const to of [from - 1, from + 1]) {
    // Less than the difference of the loads, so that the larger of both falls: this ends.
    if (to < 0 || to >= loads.length || !mayRun(to) || loads[from] - loads[to] <= cost) continue;
    share.set(path, to);
    loads[from] -= cost;
    loads[to] += cost;
    return true;
  }
  return false;
}
