/** Mixes killed at 50 random moments; a disk that is full, and one that is closed. */
import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Random } from '../../src/core/random.ts';
import { bundleNode } from '../support/bundle-node.ts';
import { type Left, type Whole, whatIsLeft, wholeMix } from '../support/mix-folder.ts';
import { writeProofPage } from '../support/proof-page.ts';

const KILLS = 50;
const BARS = 2;

describe('a mix', () => {
  let folder = '';
  let program = '';
  let longestMs = 0;
  let earlier: Whole, later: Whole;
  const counts: Record<Left, number> = { earlier: 0, new: 0, 'no report': 0, nothing: 0 };
  const disks: (readonly [string, string, string])[] = [];
  const at = (...names: string[]) => join(folder, ...names);
  const args = (plan: string, place: string) => [program, 'mix', at('kit', plan), '--folder', place, '--threads', '2'];

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-interrupted-'));
    ({ program } = bundleNode(at('bundle')));
    expect(spawnSync(process.execPath, [program, 'simulate', at('kit'), '--bars', String(BARS)]).status).toBe(0);
    const plan = JSON.parse(readFileSync(at('kit/plan.json'), 'utf8')) as { mixBus: object };
    writeFileSync(at('kit/later.json'), JSON.stringify({ ...plan, mixBus: { ...plan.mixBus, gainDb: -2 } }));
    for (const [name, place] of [
      ['plan.json', 'earlier'],
      ['later.json', 'later'],
    ]) {
      const began = performance.now();
      expect(spawnSync(process.execPath, args(name, at(place))).status).toBe(0);
      longestMs = performance.now() - began;
    }
    [earlier, later] = [wholeMix(at('earlier')), wholeMix(at('later'))];
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
    writeProofPage(
      'interruption',
      'Killed, full, closed',
      `\`batterhead mix\` of the demo plan (${BARS} bars, two threads), ended by SIGKILL at ${KILLS} moments drawn evenly over the time that it ` +
        'takes (a mix that is done before counts as none), in turns over an earlier mix and in an empty folder. After each, every file with its final name is compared with ' +
        'those of the earlier mix and of the new one, and the report with the files beside it. `npm test` also kills a mix before ' +
        'each of the renames, which take far less time than a random moment can meet.',
      [
        {
          title: 'What was left',
          header: ['what', 'how often'],
          rows: [
            ['half-written files under a final name', 0],
            ['reports that do not fit the files', 0],
            ['the earlier mix, as it was', counts.earlier],
            ['nothing but `.part` files', counts.nothing],
            ['whole files without a report', counts['no report']],
            ['the whole new mix', counts.new],
          ],
        },
        { title: 'Disks', header: ['disk', 'what is told', 'afterwards'], rows: disks },
      ],
    );
  });

  it(`killed at ${KILLS} random moments never leaves half a file under a final name`, async () => {
    const random = new Random(20_261_127);
    for (let kill = 0; kill < KILLS;) {
      rmSync(at('killed'), { recursive: true, force: true });
      const over = kill % 2 === 0;
      if (over) cpSync(at('earlier'), at('killed'), { recursive: true });
      const child = spawn(process.execPath, args('later.json', at('killed')), { stdio: 'ignore' });
      const ended = once(child, 'exit'),
        began = performance.now();
      await Promise.race([wait(random.next() * longestMs), ended]);
      child.kill('SIGKILL');
      await ended;
      if (child.signalCode === 'SIGKILL') {
        kill++;
        counts[whatIsLeft(at('killed'), over ? earlier : undefined, later)]++; // throws for half a file, or a report that lies
      } else longestMs = performance.now() - began; // it was done before: such moments do not count
    }
    expect(Object.values(counts).reduce((sum, count) => sum + count)).toBe(KILLS);
  });

  it('says what is wrong with a disk that is full or closed, and leaves the earlier mix alone', () => {
    for (const [name, options, code] of [
      ['full: 2 MB, 1 MB of it taken', 'size=2m', 'ENOSPC'],
      ['closed: mounted for reading alone', 'size=64m', 'EROFS'],
    ]) {
      const disk = at('disk');
      mkdirSync(disk, { recursive: true });
      if (spawnSync('mount', ['-t', 'tmpfs', '-o', options, 'tmpfs', disk]).status !== 0) {
        console.log(`${name}: not tried, because this user may not mount a disk`);
        disks.push([name, 'not tried: the user may not mount a disk', '-']);
        continue;
      }
      try {
        writeFileSync(join(disk, 'mix.wav'), new Uint8Array(1 << 20));
        if (code === 'EROFS') expect(spawnSync('mount', ['-o', 'remount,ro', disk]).status).toBe(0);
        const { status, stderr } = spawnSync(process.execPath, args('later.json', disk), { encoding: 'utf8' });
        expect(status).toBe(1);
        expect(stderr).toMatch(/^batterhead: .*disk\/(mix|unprocessed)\.wav cannot be written: /);
        expect(stderr).toContain(code);
        expect(readdirSync(disk)).toEqual(['mix.wav']);
        expect(readFileSync(join(disk, 'mix.wav')).equals(Buffer.alloc(1 << 20))).toBe(true);
        disks.push([
          name,
          `\`${
            stderr
              .trim()
              .replaceAll(folder, '')
              .split(/, open/)[0]
          }\``,
          'the file that was there, as it was, and no other',
        ]);
      } finally {
        spawnSync('umount', [disk]);
      }
    }
  });
});
