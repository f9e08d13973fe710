/** A campaign: many drawn inputs for one target, with the slowest, the memory, and every surprise that came up. */
import fc from 'fast-check';
import { drawing } from './mutations.ts';
import type { ParserTarget } from './parser-targets.ts';

/** What a campaign found. */
export interface Campaign {
  readonly inputs: number;
  readonly accepted: number;
  readonly refused: number;
  /** Seed and error of inputs that were answered by neither; empty if all is well. At most ten. */
  readonly surprises: readonly string[];
  /** Longest processor time for an input, in milliseconds. */
  readonly slowestMs: number;
  /** How far the memory of the process rose above its start, in MB. */
  readonly risenMb: number;
}

const MOST_SURPRISES = 10;

/** Runs `count` inputs whose seeds fast-check draws: `FC_SEED` gives others. */
export function campaign({ read, documents }: ParserTarget, count: number): Campaign {
  let accepted = 0,
    refused = 0,
    slowestMs = 0,
    mostBytes = 0;
  const surprises: string[] = [];
  const before = process.memoryUsage.rss();
  const seeds = fc.integer({ min: 0, max: 2 ** 31 - 1 });
  fc.assert(
    fc.property(seeds, (seed) => {
      const began = process.cpuUsage();
      try {
        read(drawing(seed));
        accepted++;
      } catch (error) {
        if (documents(error)) refused++;
        else if (surprises.length < MOST_SURPRISES) {
          surprises.push(`seed ${seed}: ${error instanceof Error ? (error.stack ?? '').slice(0, 500) : String(error)}`);
        }
      }
      const { user, system } = process.cpuUsage(began);
      slowestMs = Math.max(slowestMs, (user + system) / 1000);
      if ((accepted + refused) % 256 === 0) mostBytes = Math.max(mostBytes, process.memoryUsage.rss() - before);
    }),
    { numRuns: count },
  );
  if (Object.keys(Object.prototype).length > 0) surprises.push('an input has changed what all objects inherit');
  return { inputs: count, accepted, refused, surprises, slowestMs, risenMb: mostBytes / 2 ** 20 };
}
