/**
 * `npm run bench`: what every block and tool costs, each in a process of its own, in turns with the yardstick. Writes
 * `bench/results.json` and `docs/performance.md`. With words (`npm run bench -- limiter biquads`) it measures what their
 * names contain, prints it beside what is on record, and writes nothing.
 */
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { simdKernels } from '../src/simd/simd-kernels.ts';
import { blockAnswers, blockWork } from './block-work.ts';
import { blockCases, blockOf, hasSimd, stereoOnly } from './block-cases.ts';
import { contest, type Contestant, ProcessContestant } from './contest.ts';
import { costTablePage } from './cost-table-page.ts';
import { serve } from './contestant.ts';
import { writePage } from './performance-page.ts';
import { type BlockResult, type Cost, readResults, type Results, RESULTS_FILE, type ToolResult } from './results.ts';
import { profileSession, timeBlocks } from './session-profile.ts';
import { median, spreadPercent } from './statistics.ts';
import { toolWorks } from './tool-works.ts';
import { yardstick } from './yardstick.ts';

const ROUNDS = 9;
/** So large a young generation that an allocation can be seen by the growth of the heap. */
const FLAGS = ['--expose-gc', '--min-semi-space-size=64', '--max-semi-space-size=64'];

type Way = 'plain' | 'simd';

const YARDSTICK = 'yardstick';

/** What the process of a case does. */
async function runCase(name: string, channels: number, way: Way): Promise<void> {
  if (name === YARDSTICK) return serve(yardstick());
  if (name in toolWorks) return serve(toolWorks[name]());
  const processor = blockOf(name, channels, way === 'simd' ? simdKernels() : undefined);
  const work = blockWork(processor);
  return serve(work, blockAnswers(processor, work));
}

/** What a process of its own prints as JSON. */
const printed = <T>(what: string): T =>
  JSON.parse(execFileSync(process.execPath, [...FLAGS, process.argv[1], what], { encoding: 'utf8' })) as T;

const start = (name: string, channels: number, way: Way = 'plain'): Promise<ProcessContestant> =>
  ProcessContestant.start(process.execPath, [...FLAGS, process.argv[1], '--case', name, String(channels), way]);

/** Measures one case against the yardstick; further questions may follow. */
async function costOf(contestant: Contestant, reference: Contestant): Promise<Cost> {
  const [own, yard] = await contest([contestant, reference], ROUNDS);
  return {
    nanoseconds: median(own),
    spreadPercent: spreadPercent(own),
    yardsticks: median(own.map((time, r) => time / yard[r])),
  };
}

async function measureBlock(name: string, reference: Contestant): Promise<BlockResult> {
  const mono = stereoOnly.includes(name) ? undefined : await measured(name, 1, reference);
  const contestant = await start(name, 2);
  const stereo = await costOf(contestant, reference);
  const result = {
    name,
    ...(mono && { mono }),
    stereo,
    ...(hasSimd(name) && {
      simd: await measured(name, 2, reference, 'simd'),
      ...(mono && { monoSimd: await measured(name, 1, reference, 'simd') }),
    }),
    bytesPerBlock: await contestant.ask('bytes'),
    silence: await contestant.ask('silence'),
    tiny: await contestant.ask('tiny'),
  };
  contestant.close();
  return result;
}

async function measured(name: string, channels: number, reference: Contestant, way?: Way): Promise<Cost> {
  const contestant = await start(name, channels, way);
  const cost = await costOf(contestant, reference);
  contestant.close();
  return cost;
}

/** Cost in ns and, if it is on record, how it has changed in yardsticks. */
function told(label: string, { nanoseconds, spreadPercent, yardsticks }: Cost, before: Cost | undefined): string {
  const change = before ? `  ${(yardsticks / before.yardsticks).toFixed(2)} of the record` : '';
  return (
    `${label.padEnd(52)} ${nanoseconds.toFixed(2).padStart(9)} ns +-${(spreadPercent / 2).toFixed(0)} %` +
    `  ${yardsticks.toFixed(2).padStart(7)} yardsticks${change}`
  );
}

async function runAll(words: readonly string[]): Promise<void> {
  const wanted = (name: string) => words.length === 0 || words.some((word) => name.includes(word));
  const record = readResults();
  const reference = await start(YARDSTICK, 1);
  const blocks: BlockResult[] = [];
  for (const name of Object.keys(blockCases).filter(wanted)) {
    const before = record?.blocks.find((block) => block.name === name);
    const result = await measureBlock(name, reference);
    blocks.push(result);
    if (result.mono) console.log(told(`${name}, mono`, result.mono, before?.mono));
    if (result.monoSimd) console.log(told(`${name}, mono, SIMD`, result.monoSimd, before?.monoSimd));
    if (result.simd) console.log(told(`${name}, stereo, SIMD`, result.simd, before?.simd));
    console.log(
      told(`${name}, stereo`, result.stereo, before?.stereo) +
        `  ${result.bytesPerBlock} bytes  silence ${result.silence.toFixed(2)}  tiny ${result.tiny.toFixed(2)}`,
    );
  }
  const tools: ToolResult[] = [];
  for (const name of Object.keys(toolWorks).filter(wanted)) {
    const cost = await measured(name, 1, reference);
    tools.push({ name, ...cost });
    console.log(
      told(
        name,
        cost,
        record?.tools.find((tool) => tool.name === name),
      ),
    );
  }
  const yardstickNanoseconds = median((await contest([reference], ROUNDS))[0]);
  reference.close();
  if (words.length > 0) return;
  const results: Results = {
    processor: cpus()[0].model.trim(),
    node: process.version,
    yardstickNanoseconds,
    blocks,
    tools,
    profile: printed<Results['profile']>('--profile'),
    blockTimes: printed<Results['blockTimes']>('--block-times'),
  };
  writeFileSync(RESULTS_FILE, `${JSON.stringify(results, null, 2)}\n`);
  writeFileSync('src/blocks/cost-table.ts', costTablePage(results));
  writePage();
}

const [first, name, channels, way] = process.argv.slice(2);
if (first === '--case') await runCase(name, Number(channels), way as Way);
else if (first === '--profile') console.log(JSON.stringify(profileSession()));
else if (first === '--block-times') console.log(JSON.stringify(await timeBlocks()));
else await runAll(process.argv.slice(2));
