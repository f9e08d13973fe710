/**
 * Mixes a plan file: reads the plan and its inputs, writes the mix, the unprocessed mix at the same loudness, and a
 * report.
 *
 *     plan.json, WAV files --> mix.wav, unprocessed.wav, report.json
 *
 * The unprocessed mix has the faders, pans and buses of the plan, but no alignment, no block and no send: what the processing changed
 * is heard at one loudness, so that louder does not pass for better.
 *
 * @module
 */
import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { dbToGain } from '../core/decibels.ts';
import { requireInteger } from '../core/check.ts';
import { LoudnessMeter } from '../meters/loudness.ts';
import { alignInputs, type InputAlignment } from '../mix/align-inputs.ts';
import { parsePlan } from '../mix/parse-plan.ts';
import type { MixPlan } from '../mix/plan.ts';
import type { MixReport } from '../mix/renderer.ts';
import type { WavWriterOptions } from '../wav/writer-options.ts';
import { sha256OfFile, StagedFiles, writeWhole } from './files.ts';
import { hitFilesOf, readHitFiles } from './hit-files.ts';
import type { MixFileReport } from './mix-file-report.ts';
import { type MixPlaces, mixPlaces, UNPROCESSED_FILE } from './mix-places.ts';
import { MixThreads, type PreparedFileMix } from './mix-threads.ts';
import { openInputs, type WavInput, WavOutput } from './wav-files.ts';

/** How a plan file is mixed. */
export interface MixPlanFileOptions {
  /** Folder for what is written; that of the plan unless given. */
  readonly folder?: string | undefined;
  /** Frames handled at a time; the files do not depend on it. */
  readonly chunkFrames?: number | undefined;
  /** How many threads share the work, 1 to 64; 1 unless given. The files do not depend on it. */
  readonly threads?: number | undefined;
  /** Stops the mix: the promise is then rejected with the signal's reason, and nothing is left behind. */
  readonly signal?: AbortSignal | undefined;
  /** Whether WebAssembly does part of the work where it can; the files do not depend on it. */
  readonly simd?: boolean | undefined;
  /** Called with the stage, and how much of it is done. */
  readonly onProgress?: (stage: MixStage, done: number, total: number) => void;
}

/** Most threads. */
const MOST_THREADS = 64;

/** What is being done. */
export type MixStage = 'aligning' | 'mixing' | 'measuring the unprocessed mix' | 'writing the unprocessed mix';

const encodings = {
  integer16: { encoding: 'integer', bitsPerSample: 16 },
  integer24: { encoding: 'integer', bitsPerSample: 24 },
  float32: { encoding: 'float', bitsPerSample: 32 },
} as const;

/** Reads and validates a plan file. @throws Error, with the file's name, if it cannot be read or is no valid plan */
export function readPlanFile(path: string): MixPlan {
  const text = readFileSync(path, 'utf8');
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    throw new SyntaxError(`${path}: must be JSON, but ${(error as Error).message}`, { cause: error });
  }
  return parsePlan(json);
}

/**
 * Mixes the plan at `planPath`.
 *
 * @throws TypeError or RangeError with the path of the fault if the plan does not fit itself, its inputs or the files that
 *   there are: nothing has been made then. Error if a file cannot be read or written. The files of an earlier mix are
 *   replaced when all of their successors are whole; until then they are left alone.
 */
export async function mixPlanFile(planPath: string, options: MixPlanFileOptions = {}): Promise<MixFileReport> {
  const { threads: count = 1, signal } = options;
  requireInteger('mixPlanFile: threads', count, 1, MOST_THREADS);
  signal?.throwIfAborted();
  const plan = readPlanFile(planPath);
  const places = mixPlaces(planPath, plan, options.folder);
  const inputs = openInputs(places.inputs);
  const files = new StagedFiles();
  const threads = new MixThreads(count, signal);
  try {
    const report = await renderFiles({ planPath, plan, places, inputs, files, threads, options });
    files.publish();
    return report;
  } finally {
    await threads.close();
    files.discard();
    for (const input of Object.values(inputs)) input.close();
  }
}

/** A plan file being mixed. */
interface Job {
  readonly planPath: string;
  readonly plan: MixPlan;
  readonly places: MixPlaces;
  readonly inputs: Readonly<Record<string, WavInput>>;
  readonly files: StagedFiles;
  readonly threads: MixThreads;
  readonly options: MixPlanFileOptions;
}

/** What the inputs undergo before a mix. */
type Aligned = { readonly plan: MixPlan; readonly alignment: InputAlignment };

/** Renders the mix, then the plan without its blocks twice: to learn its loudness, and to write it at that of the mix. */
async function renderFiles(job: Job): Promise<MixFileReport> {
  const { planPath, plan, places, inputs, files } = job;
  const read = {
    plan: { file: planPath, sha256: sha256OfFile(planPath) },
    inputs: Object.fromEntries(
      Object.entries(inputs).map(([name, { path, truncated }]) => [
        name,
        { file: plan.inputs[name].file, sha256: sha256OfFile(path), truncated },
      ]),
    ),
    hitFiles: hitFilesOf(plan).map((file) => ({ file, sha256: sha256OfFile(resolve(dirname(planPath), file)) })),
  };
  job.options.onProgress?.('aligning', 0, 1);
  const alignment = alignInputs(plan, inputs);
  const mixed = await write(job, 'mixing', { plan, alignment }, places.mix, encodings[plan.output.sampleFormat]);
  // As late as the mix, so that both can be played in turns.
  const bare = { plan: withoutBlocks(plan), alignment: { ...alignment, moves: {}, pairs: [] } };
  const { loudnessLufs } = await run(prepare(job, 'measuring the unprocessed mix', bare));
  const gainDb = mixed.loudnessLufs === null || loudnessLufs === null ? 0 : mixed.loudnessLufs - loudnessLufs;
  const unprocessed = await write(
    job,
    'writing the unprocessed mix',
    bare,
    places.unprocessed,
    encodings.float32, // what was not limited may stand above full scale
    dbToGain(gainDb),
  );
  const { peakDb } = unprocessed.report;
  const report: MixFileReport = {
    mix: {
      file: plan.output.file,
      sha256: mixed.sha256,
      ...mixed.report,
      loudnessLufs: mixed.loudnessLufs,
      clippedSamples: mixed.clippedSamples,
    },
    unprocessed: {
      file: UNPROCESSED_FILE,
      sha256: unprocessed.sha256,
      gainDb,
      loudnessLufs: unprocessed.loudnessLufs,
      peakDb: peakDb === null ? null : peakDb + gainDb,
    },
    ...read,
    speed: speedOf(mixed.report, mixed.seconds),
  };
  writeWhole(files.add(places.report), `${JSON.stringify(report, null, 2)}\n`);
  return report;
}

function prepare({ planPath, inputs, threads, options }: Job, stage: MixStage, aligned: Aligned): PreparedFileMix {
  const [{ sampleRateHz }] = Object.values(inputs);
  return threads.prepare({
    ...aligned,
    inputs,
    hits: readHitFiles(planPath, aligned.plan, sampleRateHz),
    chunkFrames: options.chunkFrames,
    simd: options.simd,
    onProgress: (done, total) => options.onProgress?.(stage, done, total),
  });
}

interface Measured {
  readonly report: MixReport;
  readonly loudnessLufs: number | null;
  readonly seconds: number;
}

/** Renders a mix, turned up by `gain`, into a meter and, if there is one, a file. */
async function run(mix: PreparedFileMix, gain = 1, output?: WavOutput): Promise<Measured> {
  const meter = new LoudnessMeter({ sampleRateHz: mix.sampleRateHz, channels: 2 });
  const began = performance.now();
  const report = await mix.render({
    write: (channels, start, end) => {
      if (gain !== 1) for (const y of channels) for (let i = start; i < end; i++) y[i] *= gain;
      meter.process(channels, start, end);
      output?.write(channels, start, end);
    },
  });
  const loudness = meter.integratedLufs;
  return {
    report,
    loudnessLufs: Number.isFinite(loudness) ? loudness : null,
    seconds: (performance.now() - began) / 1000,
  };
}

/** Renders a plan, turned up by `gain`, into a file that is still to be published. */
async function write(
  job: Job,
  stage: MixStage,
  aligned: Aligned,
  path: string,
  encoding: Pick<WavWriterOptions, 'encoding' | 'bitsPerSample'>,
  gain = 1,
): Promise<Measured & { readonly sha256: string; readonly clippedSamples: number }> {
  const mix = prepare(job, stage, aligned); // refuses what is to be refused before there is a file
  const temporary = job.files.add(path);
  const output = new WavOutput(temporary, { sampleRateHz: mix.sampleRateHz, channels: 2, ...encoding });
  try {
    const measured = await run(mix, gain, output);
    const { clippedSamples } = output.finish();
    return { ...measured, clippedSamples, sha256: sha256OfFile(temporary) };
  } catch (error) {
    output.discard();
    throw error;
  }
}

/** The same faders, pans and buses without any block or send, and with the microphones as they are. */
function withoutBlocks(plan: MixPlan): MixPlan {
  const bare = <S extends { chain: unknown; sends: unknown }>(strips: Readonly<Record<string, S>>): Record<string, S> =>
    Object.fromEntries(Object.entries(strips).map(([name, strip]) => [name, { ...strip, chain: [], sends: [] }]));
  const { hits: _, ...rest } = plan;
  return {
    ...rest,
    channels: bare(plan.channels),
    buses: bare(plan.buses),
    mixBus: { ...plan.mixBus, chain: [] },
    automation: plan.automation.filter(({ target }) => !/\.(chain|sends)\[/.test(target)),
  };
}

function speedOf({ frames, sampleRateHz }: MixReport, renderSeconds: number): MixFileReport['speed'] {
  const mixSeconds = frames / sampleRateHz;
  return { mixSeconds, renderSeconds, timesRealTime: mixSeconds / renderSeconds };
}
