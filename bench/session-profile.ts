/**
 * Where the session's time goes: the blocks, paths and inputs of the mixer are timed one by one, what is left is the rest.
 * And how evenly it goes: the time of each of many blocks of 128.
 */
import { PerformanceObserver } from 'node:perf_hooks';
import { Shell } from '../src/core/shell.ts';
import { InputReader } from '../src/mix/input-reader.ts';
import { parsePlan } from '../src/mix/parse-plan.ts';
import { Path } from '../src/mix/path.ts';
import { renderMix } from '../src/mix/renderer.ts';
import { processorTime } from './contestant.ts';
import type { BlockTimes, ProfileEntry } from './results.ts';
import { sessionJson, takes } from './session.ts';
import { BLOCK, RATE_HZ } from './sound.ts';
import { quantile } from './statistics.ts';

const PROFILE_SECONDS = 10;
const TAIL_BLOCKS = 100_000;
const PASSES = 3;
/** Blocks before the engine has compiled everything. */
const WARM_UP_BLOCKS = 5_000;

/** Renders the session, and returns its time per frame, in ns. */
function render(seconds: number): number {
  const plan = parsePlan(sessionJson());
  const inputs = takes(plan, seconds);
  const began = processorTime();
  const { frames } = renderMix(plan, inputs, { write: () => {} });
  return (processorTime() - began) / frames;
}

/** What a look at the clock before and after adds to what is timed, in ns. */
function clockCost(): number {
  const looks = 100_000;
  let sum = 0;
  for (let i = 0; i < looks; i++) {
    const began = performance.now();
    sum += performance.now() - began;
  }
  return (1e6 * sum) / looks;
}

/** Time of the session by what it is spent on, the whole of it last. */
export function profileSession(): readonly ProfileEntry[] {
  clockCost(); // compiled
  const perLook = clockCost();
  render(2);
  const plain = render(PROFILE_SECONDS);
  const times = new Map<string, number>();
  let depth = 0; // what a block does with another inside is its own time
  const timeEach = <A extends unknown[], R>(
    target: Record<string, (...args: A) => R>,
    method: string,
    nameOf: (self: never) => string,
  ) => {
    const original = target[method];
    target[method] = function (this: never, ...args: A): R {
      if (depth++ > 0) {
        const result = original.apply(this, args);
        depth--;
        return result;
      }
      const began = performance.now();
      const result = original.apply(this, args);
      const time = 1e6 * (performance.now() - began) - perLook;
      const name = nameOf(this);
      times.set(name, (times.get(name) ?? 0) + time);
      depth--;
      return result;
    };
  };
  const channels = (count: number) => (count === 1 ? 'tracks' : 'buses');
  timeEach(
    Shell.prototype as never,
    'process',
    ({ owner, format }: { owner: string; format: Shell['format'] }) => `${owner}, ${channels(format.channels)}`,
  );
  timeEach(Path.prototype as never, 'add', () => 'faders, pans and sends');
  timeEach(InputReader.prototype as never, 'read', () => 'reading inputs');
  const plan = parsePlan(sessionJson());
  const { frames } = renderMix(plan, takes(plan, PROFILE_SECONDS), { write: () => {} });
  const entries = [...times].map(([what, time]) => ({ what, nanoseconds: time / frames }));
  const rest = plain - entries.reduce((sum, { nanoseconds }) => sum + nanoseconds, 0);
  return [
    ...entries.toSorted((a, b) => b.nanoseconds - a.nanoseconds),
    { what: 'the rest', nanoseconds: rest },
    { what: 'all', nanoseconds: plain },
  ];
}

/**
 * Times the blocks of the session one by one: each is rendered three times, and its least time counts, since what else a
 * machine does will not meet the same block again.
 */
export async function timeBlocks(): Promise<BlockTimes> {
  let collections = 0;
  const observer = new PerformanceObserver((list) => (collections += list.getEntries().length));
  const plan = parsePlan(sessionJson());
  const inputs = takes(plan, Math.ceil(((WARM_UP_BLOCKS + TAIL_BLOCKS) * BLOCK) / RATE_HZ));
  const times = new Float64Array(TAIL_BLOCKS).fill(Infinity);
  for (let pass = 0; pass < PASSES; pass++) {
    let block = -WARM_UP_BLOCKS,
      last = 0;
    const onProgress = () => {
      const now = performance.now(); // the clock allocates less than what tells processor time
      if (block >= 0 && block < TAIL_BLOCKS) times[block] = Math.min(times[block], 1000 * (now - last));
      if (block === 0) observer.observe({ entryTypes: ['gc'] });
      block++;
      last = performance.now();
    };
    renderMix(plan, inputs, { write: () => {} }, { chunkFrames: BLOCK, onProgress });
    await new Promise((resolve) => setTimeout(resolve, 10)); // the observer reports later
    observer.disconnect();
  }
  const all = Array.from(times);
  return {
    blocks: TAIL_BLOCKS,
    median: quantile(all, 0.5),
    percentile999: quantile(all, 0.999),
    longest: Math.max(...all),
    collections,
  };
}
