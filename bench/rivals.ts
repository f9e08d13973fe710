/**
 * `npm run bench:rivals`: the library's blocks against what would be taken instead, and against plain C++ as the limit.
 * Three runs, each with processes of its own; in each, all contestants of a work take turns. Writes `bench/rivals.json`
 * and its tables in `docs/performance.md`; what is missing on this machine is said there.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { simdKernels } from '../src/simd/simd-kernels.ts';
import { encodeWav } from '../src/wav/encode-wav.ts';
import { blockWork } from './block-work.ts';
import { contest, type Contestant, ProcessContestant } from './contest.ts';
import { serve } from './contestant.ts';
import { nativeKernels } from './native-kernels.ts';
import { writePage } from './performance-page.ts';
import type { RivalRun, WorkResult } from './results.ts';
import { commandContestant, isThere } from './rivals/command.ts';
import { compileKernels, nativeContestant } from './rivals/native.ts';
import { type ChromiumPage, type GraphName, openChromium, serveGraph } from './rivals/web-audio.ts';
import { type RivalWork, rivalWorks, WITH_SIMD } from './rivals/works.ts';
import { drumSound, RATE_HZ } from './sound.ts';
import { median } from './statistics.ts';
import { toolWorks } from './tool-works.ts';

const RUNS = 3;
const ROUNDS = 5;
const FILE_SECONDS = 60;
/** How often a program works through the file. */
const FILE_TIMES = { ffmpeg: 4, sox: 2 };

/** What all contests of a process share. */
interface Ring {
  readonly folder: string;
  readonly kernels: Readonly<Record<string, string>> | undefined;
  readonly chromium: ChromiumPage | undefined;
  readonly missing: readonly string[];
}

const ownProcess = (...parameters: readonly string[]): Promise<ProcessContestant> =>
  ProcessContestant.start(process.execPath, [process.argv[1], ...parameters]);

/** Everyone who does a work, by name; the library first. */
async function contestantsOf(work: RivalWork, ring: Ring): Promise<Record<string, Contestant>> {
  const { channels, own, scipy, graph, ffmpeg = {}, sox } = work;
  const there = (tool: string) => !ring.missing.includes(tool);
  const contestants: Record<string, Contestant> = {};
  if ('kernel' in own) {
    const kernel = nativeKernels.find(({ name }) => name === own.kernel)!;
    contestants.batterhead = await ownProcess('--kernel', kernel.name);
    if (work.simd) contestants[WITH_SIMD] = await ownProcess('--simd-kernel', kernel.name);
    for (const [name, program] of Object.entries(ring.kernels ?? {})) {
      contestants[name] = await nativeContestant(program, kernel, ring.folder);
    }
  } else contestants.batterhead = await ownProcess('--tool', own.tool);
  if (scipy !== undefined && there('scipy')) {
    const sound = scipy === 'correlation' ? [soundFile(ring, 2), '2'] : [soundFile(ring, channels), String(channels)];
    contestants.scipy = await ProcessContestant.start('python3', ['bench/rivals/with_scipy.py', scipy, ...sound]);
  }
  if (sox && there('sox')) {
    const files = new Array<string>(FILE_TIMES.sox).fill(wavFile(ring, channels));
    const idle = ['sox', '-V1', ...files, '-n'];
    contestants.sox = commandContestant([...idle, ...sox], idle, FILE_TIMES.sox * FILE_SECONDS * RATE_HZ * channels);
  }
  for (const [name, filter] of there('ffmpeg') ? Object.entries(ffmpeg) : []) {
    const run = (filters: string) =>
      `ffmpeg -v error -nostdin -threads 1 -filter_threads 1 -stream_loop ${FILE_TIMES.ffmpeg - 1}`
        .split(' ')
        .concat(['-i', wavFile(ring, channels), '-af', filters, '-f', 'null', '-']);
    const samples = FILE_TIMES.ffmpeg * FILE_SECONDS * RATE_HZ * channels;
    contestants[name] = commandContestant(run(filter), run('anull'), samples);
  }
  if (graph !== undefined) {
    if (ring.chromium) contestants.Chromium = ring.chromium.contestant(graph, channels);
    contestants['node-web-audio-api'] = await ownProcess('--graph', graph, String(channels));
  }
  return contestants;
}

const soundFile = ({ folder }: Ring, channels: number): string => join(folder, `sound-${channels}.f32`);
const wavFile = ({ folder }: Ring, channels: number): string => join(folder, `sound-${channels}.wav`);

/** The sound for those that read files. */
function writeSounds(ring: Ring): void {
  const sounds = [1, 2].map((seed) => Float32Array.from(drumSound(FILE_SECONDS * RATE_HZ, seed)));
  for (const channels of [1, 2]) {
    const used = sounds.slice(0, channels);
    writeFileSync(soundFile(ring, channels), Buffer.concat(used.map((x) => Buffer.from(x.buffer))));
    const wav = encodeWav(used, { sampleRateHz: RATE_HZ, encoding: 'float', bitsPerSample: 32 });
    writeFileSync(wavFile(ring, channels), wav);
  }
}

/** One run of a work. */
async function runOf(work: RivalWork, ring: Ring): Promise<RivalRun> {
  const contestants = await contestantsOf(work, ring);
  const times = await contest(Object.values(contestants), ROUNDS);
  for (const contestant of Object.values(contestants)) contestant.close();
  return Object.fromEntries(
    Object.keys(contestants).map((name, c) => [
      name,
      { nanoseconds: median(times[c]), ratio: median(times[0].map((own, r) => own / times[c][r])) },
    ]),
  );
}

async function openRing(): Promise<Ring> {
  const folder = mkdtempSync(join(tmpdir(), 'batterhead-rivals-'));
  const kernels = compileKernels(folder);
  const chromium = await openChromium().catch((error: unknown) => {
    console.log(`no Chromium: ${String(error)}`);
  });
  const missing = [
    ...(kernels ? [] : ['g++']),
    ...(chromium ? [] : ['Chromium']),
    ...(isThere('python3', '-c', 'import scipy') ? [] : ['scipy']),
    ...(isThere('ffmpeg', '-version') ? [] : ['ffmpeg']),
    ...(isThere('sox', '--version') ? [] : ['sox']),
  ];
  return { folder, kernels, chromium: chromium ?? undefined, missing };
}

function tell({ name }: RivalWork, run: RivalRun): void {
  console.log(name);
  for (const [rival, { nanoseconds, ratio }] of Object.entries(run)) {
    console.log(`  ${rival.padEnd(24)} ${nanoseconds.toFixed(2).padStart(9)} ns   ${ratio.toFixed(2).padStart(6)}`);
  }
}

async function runAll(words: readonly string[]): Promise<void> {
  const works = rivalWorks.filter(({ name }) => words.length === 0 || words.some((word) => name.includes(word)));
  const ring = await openRing();
  try {
    writeSounds(ring);
    if (ring.missing.length > 0) console.log(`not on this machine: ${ring.missing.join(', ')}`);
    const runs = new Map<RivalWork, RivalRun[]>(works.map((work) => [work, []]));
    for (let r = 0; r < RUNS; r++) {
      for (const [work, done] of runs) {
        done.push(await runOf(work, ring));
        tell(work, done[r]);
      }
    }
    if (words.length > 0) return;
    const results = [...runs].map(([{ name }, done]): WorkResult => ({ name, runs: done }));
    writeFileSync('bench/rivals.json', `${JSON.stringify({ missing: ring.missing, works: results }, null, 2)}\n`);
    writePage();
  } finally {
    await ring.chromium?.close();
    rmSync(ring.folder, { recursive: true, force: true });
  }
}

/** What a process of ours does. */
async function runCase(kind: string, name: string, channels: number): Promise<void> {
  if (kind === '--graph') return serveGraph(name as GraphName, channels);
  if (kind === '--tool') return serve(toolWorks[name]());
  const simd = kind === '--simd-kernel' ? simdKernels() : undefined;
  return serve(blockWork(nativeKernels.find((kernel) => kernel.name === name)!.create(simd)));
}

const [kind = '', name = '', channels] = process.argv.slice(2);
if (kind.startsWith('--')) await runCase(kind, name, Number(channels));
else await runAll(process.argv.slice(2));
