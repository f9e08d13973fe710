/**
 * The command line: `batterhead plan`, `mix`, `report`, `batch`, `align`, `hits`, `simulate`, `measure` and `compare`.
 *
 * Exit codes: 0 done, 1 a file could not be read or written or a plan of a batch failed, 2 the command or the plan was
 * refused.
 *
 * @module
 */
import { availableParallelism } from 'node:os';
import { Command, Option } from 'commander';
import { version } from '../../package.json';
import { alignPlanFile } from './align-plan-file.ts';
import { alignmentSummary } from './align-summary.ts';
import type { LoudspeakerLayout } from '../meters/loudness-weights.ts';
import { decimal, shard, wholeNumber } from './cli-arguments.ts';
import { dryRunPlanFile, dryRunSummary } from './dry-run.ts';
import { compareFiles, comparisonTable } from './compare-files.ts';
import { measureFile } from './measure-file.ts';
import { measureCsv, measureJson, measureTable } from './measure-summary.ts';
import { hitsPlanFile } from './hits-plan-file.ts';
import { mixBatch, type Shard } from './mix-batch.ts';
import { mixPlanFile } from './mix-plan-file.ts';
import { planFolder } from './plan-folder.ts';
import { planJson, planSummary } from './plan-summary.ts';
import { progressBar } from './progress-bar.ts';
import { simulateFolder } from './simulate-folder.ts';
import { stopSignal } from './stop-signal.ts';
import { batchSummary, hitsSummary, mixSummary, simulationSummary } from './summary.ts';

interface MixCommandOptions {
  readonly folder?: string;
  readonly chunkFrames?: number;
  readonly threads?: number;
  readonly simd: boolean;
  readonly dryRun?: true;
}

const EXIT_FILE = 1;
const EXIT_REFUSED = 2;

const program = new Command('batterhead')
  .description('Mixes a drum kit recorded by many microphones, by a plan in one JSON file.')
  .version(version)
  .addHelpText(
    'after',
    `
A first mix, made of nothing:
  batterhead simulate kit          a simulated kit: twelve microphones, and a plan
  batterhead mix kit/plan.json     the mix, the unprocessed mix at the same loudness, report.html

A first mix of your own recording:
  batterhead plan FOLDER           guesses what each WAV file is, and writes FOLDER/plan.json
  batterhead mix FOLDER/plan.json

The plan says which microphone runs through which blocks into which bus; edit it and mix again.
Exit codes: 0 done, 1 a file could not be read or written or a plan of a batch failed, 2 the command or the plan was
refused.
Sound can hurt: listen at a low volume first.`,
  )
  .exitOverride();

program
  .command('plan')
  .summary('suggest a plan for a folder of microphones')
  .description('Tells what each WAV file of a folder is, how sure and why; writes a plan whose settings are measured.')
  .argument('<folder>', 'folder of WAV files, mono or stereo, of one take')
  .option('--output <file>', 'where to write the plan; plan.json in the folder unless given')
  .option('--json', 'tell everything as JSON')
  .addHelpText(
    'after',
    `
A plan that is there already is never overwritten. mix.wav and unprocessed.wav, which a mix leaves, are no microphones.
Names such as "snare bottom" or "OH L" help; the sound alone is enough where the drums are played.`,
  )
  .action((folder: string, { output, json }: { output?: string; json?: true }) => {
    const planned = planFolder(folder, { output });
    console.log((json ? planJson : planSummary)(planned));
  });

program
  .command('mix')
  .summary('mix the inputs of a plan')
  .description(
    'Reads a plan and its WAV files; writes the mix, the unprocessed mix at the same loudness, and a report of both: ' +
      'report.html to read and to hear, report.json and report.csv with the same figures.',
  )
  .argument('<plan>', 'plan file (JSON)')
  .option('--folder <folder>', 'where to write; the folder of the plan unless given')
  .option('--chunk-frames <frames>', 'frames handled at a time; the files do not depend on it', wholeNumber)
  .option('--threads <number>', 'threads that share the work; as many as there are cores unless given', wholeNumber)
  .option('--dry-run', 'check the plan and its files, tell routing, latency and cost, and write nothing')
  .option('--no-simd', 'leave WebAssembly out of it; the files do not depend on it')
  .addHelpText(
    'after',
    `
The plan is refused with the path of its first fault, for example
  channels.snareTop.chain[2].attackMs must be 0 to 1000, got -3
and nothing is written then.`,
  )
  .action(async (plan: string, { dryRun, ...options }: MixCommandOptions) => {
    if (dryRun) console.log(dryRunSummary(dryRunPlanFile(plan, options)));
    else await mix(plan, options, false);
  });

program
  .command('report')
  .summary('report on the mix of a plan, and keep nothing else')
  .description(
    'Renders a plan as mix does, whether or not it has been mixed before, and keeps only the report: report.html to read ' +
      'and to hear, report.json and report.csv with the same figures. A mix that is there already is left as it is.',
  )
  .argument('<plan>', 'plan file (JSON), which is left as it is')
  .option('--folder <folder>', 'where to write; the folder of the plan unless given')
  .option('--threads <number>', 'threads that share the work; as many as there are cores unless given', wholeNumber)
  .addHelpText(
    'after',
    `
Besides its inputs a plan can name what the mix is compared with:
  "references": [{ "file": "finished.wav", "startSeconds": 60, "endSeconds": 90 }]
  "context": { "bass": { "file": "bass.wav", "gainDb": -3 } }`,
  )
  .action((plan: string, options: MixCommandOptions) => mix(plan, options, true));

program
  .command('batch')
  .summary('mix all plans below a folder')
  .description(
    'Mixes every plan (files whose names end in plan.json) below a folder, each into a folder of its own, and writes ' +
      'manifest.json: checksums of all that was read and written, or what went wrong.',
  )
  .argument('<folder>', 'folder with plans')
  .option('--folder <folder>', 'where to write; "mixes" in the folder of the plans unless given')
  .option('--shard <I/N>', 'every Nth plan, beginning with number I: for machines that share the work', shard)
  .option('--threads <number>', 'threads of each mix; as many as there are cores unless given', wholeNumber)
  .addHelpText(
    'after',
    `
The same command goes on with a batch that was stopped: what is done stays. A plan that fails stops no other; the exit
code is then 1. With shards, the command without --shard writes the manifest of all when they are done.`,
  )
  .action(async (plans: string, options: { folder?: string; shard?: Shard; threads?: number }) => {
    const { threads = availableParallelism() } = options;
    const bar = progressBar();
    try {
      const batch = await mixBatch(plans, {
        ...options,
        threads,
        signal: stopSignal(),
        onProgress: (plan, stage, done, total) => {
          bar.show(`${plan}: ${stage}`, done, total);
        },
      });
      bar.stop();
      console.log(batchSummary(batch));
      if (batch.failed > 0) process.exitCode = EXIT_FILE;
    } finally {
      bar.stop();
    }
  });

program
  .command('align')
  .summary('show how a plan brings its microphones in time')
  .description(
    'Listens to the inputs of a plan; prints how each microphone is moved and why, and draws each pair before and after.',
  )
  .argument('<plan>', 'plan file (JSON), which is left as it is')
  .option('--pictures <folder>', 'where to draw (SVG); "alignment" beside the plan unless given')
  .option('--write <file>', 'also write the moves as a part of a plan (JSON): with it, a plan needs no listening')
  .addHelpText(
    'after',
    `
The plan says which microphones hear which drum:
  "alignment": { "drums": { "snare": ["top", "bottom"] }, "overheads": ["left", "right"] }
A move set by hand wins over what is found:
  "alignment": { "moves": { "bottom": { "delaySamples": -2.5, "polarity": -1 } }, ... }`,
  )
  .action((plan: string, { pictures, write }: { pictures?: string; write?: string }) => {
    console.log(alignmentSummary(alignPlanFile(plan, { pictures, write })));
  });

program
  .command('hits')
  .summary('find the hits that a plan asks for')
  .description('Finds the hits of the drums that a plan names under "hits"; tells them, and draws them into hits.svg.')
  .argument('<plan>', 'plan file (JSON), which is left as it is')
  .option('--folder <folder>', 'where to write; the folder of the plan unless given')
  .option('--json', 'write hits.json, a list that a plan can name as hits.file')
  .option('--csv', 'write hits.csv')
  .option('--midi', 'write hits.mid, a standard MIDI file; every drum must have a note')
  .action((plan: string, options: { folder?: string; json?: boolean; csv?: boolean; midi?: boolean }) => {
    console.log(hitsSummary(hitsPlanFile(plan, options)));
  });

program
  .command('simulate')
  .summary('simulate a kit in a room, with known truth')
  .description(
    'Writes a WAV file for each of twelve microphones, what really happened (truth.json), and a plan to mix them by.',
  )
  .argument('<folder>', 'where to write')
  .option('--seed <number>', 'same seed, same kit and player', wholeNumber)
  .option('--bars <number>', 'bars to play', wholeNumber)
  .option('--tempo-bpm <number>', 'quarter notes per minute', decimal)
  .option('--bleed-db <dB>', 'loudest other drum at a close microphone; distance decides unless given', decimal)
  .action((folder: string, options: { seed?: number; bars?: number; tempoBpm?: number; bleedDb?: number }) => {
    const bar = progressBar();
    try {
      const written = simulateFolder(folder, options, (done, total) => {
        bar.show('writing microphones', done, total);
      });
      bar.stop();
      console.log(simulationSummary(written));
    } finally {
      bar.stop();
    }
  });

program
  .command('measure')
  .summary('measure loudness, peaks, dynamics, width and spectrum of WAV files')
  .description('Prints the figures of each file; reads the files in pieces and writes nothing.')
  .argument('<files...>', 'WAV files')
  .option('--json', 'everything, as JSON')
  .option('--csv', 'everything that is one number for the file or a band, as CSV')
  .addOption(
    new Option('--layout <layout>', 'loudspeakers of the channels; all count alike unless given').choices([
      'mono',
      'stereo',
      '5.0',
      '5.1',
      '7.1',
    ]),
  )
  .action((files: string[], { json, csv, layout }: { json?: true; csv?: true; layout?: LoudspeakerLayout }) => {
    const bar = progressBar();
    try {
      const measured = files.map((file) =>
        measureFile(file, {
          layout,
          onProgress: (done, total) => {
            bar.show(file, done, total);
          },
        }),
      );
      bar.stop();
      console.log(json ? measureJson(measured) : csv ? measureCsv(measured) : measureTable(measured));
    } finally {
      bar.stop();
    }
  });

program
  .command('compare')
  .summary('compare a mix with finished tracks')
  .description(
    'Takes all files at one loudness, and tells in which bands, dynamics and widths the mix lies outside what the ' +
      'references span, over the loud sections of each.',
  )
  .argument('<mix>', 'WAV file')
  .argument('<references...>', 'WAV files')
  .option('--json', 'all figures as JSON')
  .option('--excerpts <folder>', 'write excerpts of 10 s, all at -23 LUFS, for listening')
  .action((mix: string, references: string[], { json, excerpts }: { json?: boolean; excerpts?: string }) => {
    const comparison = compareFiles(mix, references, excerpts);
    console.log(json ? JSON.stringify(comparison, null, 2) : comparisonTable(comparison));
  });

program.parseAsync().catch((error: unknown) => {
  process.exitCode = report(error);
});

async function mix(plan: string, options: MixCommandOptions, reportOnly: boolean): Promise<void> {
  const { threads = availableParallelism() } = options;
  const bar = progressBar();
  try {
    const signal = stopSignal();
    const report = await mixPlanFile(plan, { ...options, threads, signal, reportOnly, onProgress: bar.show });
    bar.stop();
    console.log(mixSummary(report));
  } finally {
    bar.stop();
  }
}

/** Tells what went wrong, and returns the exit code that says so. */
function report(error: unknown): number {
  if (error instanceof Error && 'code' in error && String(error.code).startsWith('commander.')) {
    // The command line's parser has told it already; help and version are no errors.
    return (error as { exitCode?: number }).exitCode === 0 ? 0 : EXIT_REFUSED;
  }
  console.error(`batterhead: ${error instanceof Error ? error.message : String(error)}`);
  const refused = error instanceof TypeError || error instanceof RangeError || error instanceof SyntaxError;
  return refused ? EXIT_REFUSED : EXIT_FILE;
}
