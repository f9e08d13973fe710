/** The demo session by one to four threads: the same bytes, and how evenly the work is shared. */
import { readdirSync, readFileSync, mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { availableParallelism, loadavg, platform, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type * as Library from '../../src/node/index.ts';
import { bundleNode } from '../support/bundle-node.ts';
import { writeProofPage } from '../support/proof-page.ts';

const BARS = 32;

/** Seconds of processor time of every thread of this process; empty where the system does not tell. */
function threadSeconds(): ReadonlyMap<string, number> {
  if (platform() !== 'linux') return new Map();
  return new Map(
    readdirSync('/proc/self/task').flatMap((task): [string, number][] => {
      try {
        const [user, system] = readFileSync(`/proc/self/task/${task}/stat`, 'utf8')
          .split(') ')[1]
          .split(' ')
          .slice(11, 13);
        return [[task, (Number(user) + Number(system)) / 100]];
      } catch {
        return []; // it has ended
      }
    }),
  );
}

describe('a mix by several threads', () => {
  let folder = '';
  let library: typeof Library;
  const rows: (string | number)[][] = [];

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-threads-'));
    library = createRequire(import.meta.url)(bundleNode(join(folder, 'bundle')).library) as typeof Library;
    library.simulateFolder(join(folder, 'kit'), { bars: BARS });
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
    const load = loadavg()[0].toFixed(1);
    writeProofPage(
      'threads',
      'Threads',
      `The demo plan (twelve microphones, ${BARS} bars), its mixing alone, without alignment and the unprocessed mix. "busiest" is the ` +
        'thread with the most processor time: work divided by it is what as many idle cores give. The time on the clock also ' +
        `depends on what else the machine does: ${availableParallelism()} cores here, with a load of ${load} at the end. ` +
        'All mixes have the same SHA-256.',
      [
        {
          title: 'One mix, one to four threads',
          header: [
            'threads',
            'seconds on the clock',
            'times real time',
            'seconds of work',
            'busiest',
            'work / busiest',
          ],
          rows,
        },
      ],
    );
  });

  it('has one checksum, and two threads have less than 60 % of the work each', async () => {
    const hashes = new Set<string>();
    for (const threads of [1, 1, 2, 3, 4]) {
      let before = threadSeconds(),
        after = before;
      const { mix, speed } = await library.mixPlanFile(join(folder, 'kit/plan.json'), {
        folder: join(folder, 'mix'),
        threads,
        onProgress: (stage, done, total) => {
          if (stage === 'aligning') before = threadSeconds();
          if (stage === 'mixing' && done === 4096) before = threadSeconds();
          if (stage === 'mixing' && done === total) after = threadSeconds();
        },
      });
      hashes.add(mix.sha256);
      const work = [...after].map(([task, seconds]) => seconds - (before.get(task) ?? 0));
      const all = work.reduce((sum, seconds) => sum + seconds, 0);
      const busiest = Math.max(0, ...work);
      rows.push([
        threads,
        speed.renderSeconds.toFixed(1),
        speed.timesRealTime.toFixed(1),
        all.toFixed(1),
        busiest.toFixed(1),
        (all / busiest).toFixed(2),
      ]);
      if (threads === 2 && all > 0) expect(busiest / all).toBeLessThan(0.6);
    }
    rows.shift(); // the first one has warmed up
    expect(hashes.size).toBe(1);
  });
});
