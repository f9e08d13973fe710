/**
 * Mixes a plan file: reads the plan and its inputs, writes the mix, the unprocessed mix at the same loudness, and a
 * report as page, data and table.
 *
 *     plan.json, WAV files --> mix.wav, unprocessed.wav, report.html, report.json, report.csv
 *
 * The unprocessed mix has the faders, pans and buses of the plan, but no alignment, no block and no send: what the
 * processing changed is heard at one loudness, so that louder does not pass for better.
 *
 * @module
 */
import { readFileSync } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import { requireInteger } from '../core/check.ts';
import { dbToGain } from '../core/decibels.ts';
import { alignInputs, type InputAlignment } from '../mix/align-inputs.ts';
import { commonRateHz } from '../mix/input-rate.ts';
import { parsePlan } from '../mix/parse-plan.ts';
import type { MixPlan } from '../mix/plan.ts';
import { listeningPair, type ListeningPair } from '../report/listening.ts';
import type { MixFileReport } from '../report/mix-file-report.ts';
import { reportCsv } from '../report/report-csv.ts';
import { reportHtml } from '../report/report-html.ts';
import { reportJson } from '../report/report-json.ts';
import { warningsOf } from '../report/warnings.ts';
import { reading, sha256OfFile, StagedFiles, writeWhole } from './files.ts';
import { hitFilesOf } from './hit-files.ts';
import { type MixPlaces, mixPlaces, UNPROCESSED_FILE } from './mix-places.ts';
import { MixThreads } from './mix-threads.ts';
import { pairPictures } from './pair-pictures.ts';
import { type RenderedWav, renderedLoudness, type RenderJob, renderWav } from './render-wav.ts';
import { closeAll, compareMix, maskMix, measureReferences, openContext } from './surroundings.ts';
import { openInputs, WavInput } from './wav-files.ts';
import { recordingOfFile } from './wav-sources.ts';

/** How a plan file is mixed. */
export interface MixPlanFileOptions {
  /** Folder for what is written; that of the plan unless given. */
  readonly folder?: string | undefined;
  /** Whether only the report is kept: a mix that is there already is left as it is. */
  readonly reportOnly?: boolean | undefined;
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
export type MixStage =
  | 'measuring the references'
  | 'aligning'
  | 'mixing'
  | 'measuring the unprocessed mix'
  | 'writing the unprocessed mix'
  | 'judging';

const encodings = {
  integer16: { encoding: 'integer', bitsPerSample: 16 },
  integer24: { encoding: 'integer', bitsPerSample: 24 },
  float32: { encoding: 'float', bitsPerSample: 32 },
} as const;

/** Reads and validates a plan file. @throws Error, with the file's name, if it cannot be read or is no valid plan */
export function readPlanFile(path: string): MixPlan {
  const text = reading(path, () => readFileSync(path, 'utf8')).replace(/^\uFEFF/, ''); // a byte order mark, as some editors write it
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    const { message } = error as Error;
    throw new SyntaxError(`${path}${placeIn(text, message)}: must be JSON, but ${message}`, { cause: error });
  }
  return parsePlan(json);
}

/** Line and column of the position that an engine's message about JSON names, if it does. */
function placeIn(text: string, message: string): string {
  const position = /position (\d+)/.exec(message)?.[1];
  if (position === undefined) return '';
  const before = text.slice(0, Number(position)).split('\n');
  return `, line ${before.length}, column ${before[before.length - 1].length + 1}`;
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
  const sounds = options.reportOnly === true ? new StagedFiles() : files; // never published by themselves
  const threads = new MixThreads(count, signal);
  try {
    const report = await renderFiles({ planPath, plan, places, inputs, sounds, files, threads, options });
    files.publish();
    return report;
  } finally {
    await threads.close();
    sounds.discard();
    files.discard();
    closeAll(inputs);
  }
}

/** A plan file being mixed. */
interface Job {
  readonly planPath: string;
  readonly plan: MixPlan;
  readonly places: MixPlaces;
  readonly inputs: Readonly<Record<string, WavInput>>;
  /** Where the mixes are staged: among the other files, unless only these are kept. */
  readonly sounds: StagedFiles;
  readonly files: StagedFiles;
  readonly threads: MixThreads;
  readonly options: MixPlanFileOptions;
}

/** Renders the mix, then the plan without its blocks twice: to learn its loudness, and to write it at that of the mix. */
async function renderFiles(job: Job): Promise<MixFileReport> {
  const { planPath, plan, places, inputs, sounds, threads, options } = job;
  const tell = (stage: MixStage) => (done: number, total: number) => options.onProgress?.(stage, done, total);
  const sampleRateHz = commonRateHz(plan, inputs);
  const stems = openContext(places, sampleRateHz);
  try {
    if (plan.references.length > 0) tell('measuring the references')(0, 1);
    const references = measureReferences(plan, places);
    tell('aligning')(0, 1);
    const alignment = alignInputs(plan, inputs);
    const { chunkFrames, simd } = options;
    const prepared: Omit<RenderJob, 'onProgress' | 'traced'> = {
      planPath,
      plan,
      alignment,
      inputs,
      threads,
      chunkFrames,
      simd,
    };
    const { sampleFormat } = plan.output;
    const mix = await renderWav(
      { ...prepared, traced: true, onProgress: tell('mixing') },
      sounds,
      places.mix,
      encodings[sampleFormat],
    );
    // As late as the mix, so that both can be played in turns.
    const bare = {
      ...prepared,
      traced: false,
      plan: withoutBlocks(plan),
      alignment: { ...alignment, moves: {}, pairs: [] },
    };
    const loudnessLufs = await renderedLoudness({ ...bare, onProgress: tell('measuring the unprocessed mix') });
    const gainDb = mix.loudnessLufs === null || loudnessLufs === null ? 0 : mix.loudnessLufs - loudnessLufs;
    const unprocessed = await renderWav(
      { ...bare, onProgress: tell('writing the unprocessed mix') },
      sounds,
      places.unprocessed,
      encodings.float32, // what was not limited may stand above full scale
      dbToGain(gainDb),
    );
    options.signal?.throwIfAborted();
    tell('judging')(0, 1);
    return judge(job, { mix, unprocessed, gainDb, alignment, references, stems });
  } finally {
    closeAll(stems);
  }
}

/** What has been rendered, and what it is judged beside. */
interface Rendered {
  readonly mix: RenderedWav;
  readonly unprocessed: RenderedWav;
  readonly gainDb: number;
  readonly alignment: InputAlignment;
  readonly references: ReturnType<typeof measureReferences>;
  readonly stems: Readonly<Record<string, WavInput>>;
}

/** Makes the report of what has been rendered, and stages its files. */
function judge(job: Job, rendered: Rendered): MixFileReport {
  const { plan, inputs, places, files } = job;
  const { mix, unprocessed, alignment, references, stems } = rendered;
  const { sampleRateHz } = mix.report;
  const sounds = [mix, unprocessed].map(({ stagedPath }) => new WavInput(stagedPath));
  try {
    const [after, before] = sounds.map((file) => recordingOfFile(file));
    const comparison = references && compareMix(after, mix.loudnessLufs, references);
    const judged = {
      ...figuresOf(job, rendered),
      ...(references && { references: { files: references.files, ...(comparison && { comparison }) } }),
      ...(Object.keys(stems).length > 0 && {
        context: { files: contextFiles(plan, places), parts: maskMix(plan, after, stems, mix.hits?.list, alignment) },
      }),
    };
    const report: MixFileReport = { ...judged, warnings: warningsOf(judged) };
    const listening: ListeningPair | undefined = listeningPair(after, before);
    const pairs = pairPictures(plan, inputs, alignment, sampleRateHz);
    writeWhole(files.add(places.reportPage), reportHtml(report, { listening, pairs }));
    writeWhole(files.add(places.reportTable), reportCsv(report));
    writeWhole(files.add(places.report), reportJson(report)); // the last one vouches for the others
    return report;
  } finally {
    for (const file of sounds) file.close();
  }
}

/** The report but for what the mix is like beside others. */
function figuresOf(
  { planPath, plan, places, inputs }: Job,
  { mix, unprocessed, gainDb }: Rendered,
): Omit<MixFileReport, 'warnings' | 'references' | 'context'> {
  const { sampleRateHz, frames } = mix.report;
  const sound = ({ sha256, figures, loudness, loudnessLufs }: RenderedWav) => ({
    sha256,
    loudnessLufs,
    figures,
    loudness,
  });
  const mixSeconds = frames / sampleRateHz;
  return {
    mix: { file: plan.output.file, ...mix.report, ...sound(mix), clippedSamples: mix.clippedSamples },
    unprocessed: {
      file: UNPROCESSED_FILE,
      ...sound(unprocessed),
      gainDb,
      peakDb: unprocessed.report.peakDb === null ? null : unprocessed.report.peakDb + gainDb,
    },
    plan: { file: basename(planPath), sha256: sha256OfFile(places.plan) },
    inputs: Object.fromEntries(
      Object.entries(inputs).map(([name, { path, truncated }]) => {
        const { file } = plan.inputs[name];
        return [name, { file, sha256: sha256OfFile(path), truncated, levels: mix.levels[name] }];
      }),
    ),
    hitFiles: hitFilesOf(plan).map((file) => ({ file, sha256: sha256OfFile(resolve(dirname(places.plan), file)) })),
    speed: { mixSeconds, renderSeconds: mix.renderSeconds, timesRealTime: mixSeconds / mix.renderSeconds },
  };
}

function contextFiles({ context }: MixPlan, places: MixPlaces): NonNullable<MixFileReport['context']>['files'] {
  return Object.fromEntries(
    Object.entries(context).map(([name, { file }]) => [name, { file, sha256: sha256OfFile(places.context[name]) }]),
  );
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
