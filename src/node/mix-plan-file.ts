/**
 * Mixes a plan file: reads the plan and its inputs, writes the mix, the unprocessed mix at the same loudness, and a
 * report.
 *
 *     plan.json, WAV files --> mix.wav, unprocessed.wav, report.json
 *
 * The unprocessed mix has the faders, pans and buses of the plan, but no block and no send: what the processing changed
 * is heard at one loudness, so that louder does not pass for better.
 *
 * @module
 */
import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { dbToGain } from '../core/decibels.ts';
import { LoudnessMeter } from '../meters/loudness.ts';
import { parsePlan } from '../mix/parse-plan.ts';
import type { MixPlan } from '../mix/plan.ts';
import { type MixReport, type MixSink, renderMix } from '../mix/renderer.ts';
import { sha256OfFile, writeText } from './files.ts';
import { WavInput, WavOutput } from './wav-files.ts';

/** How a plan file is mixed. */
export interface MixPlanFileOptions {
  /** Folder for what is written; that of the plan unless given. */
  readonly folder?: string | undefined;
  /** Frames handled at a time; the files do not depend on it. */
  readonly chunkFrames?: number | undefined;
  /** Called with the stage, and how much of it is done. */
  readonly onProgress?: (stage: MixStage, done: number, total: number) => void;
}

/** What is being done. */
export type MixStage = 'mixing' | 'measuring the unprocessed mix' | 'writing the unprocessed mix';

/** A file that was read or written. */
export interface FileReport {
  readonly file: string;
  readonly sha256: string;
}

/** What is told of a mix; `report.json` holds it. */
export interface MixFileReport {
  /** The mix: its file, how loud it is, and how it was rendered. */
  readonly mix: FileReport & MixReport & { readonly loudnessLufs: number | null; readonly clippedSamples: number };
  /** The unprocessed mix: `gainDb` brought it to the loudness of the mix. */
  readonly unprocessed: FileReport & { readonly gainDb: number; readonly peakDb: number | null };
  readonly plan: FileReport;
  readonly inputs: Readonly<Record<string, FileReport>>;
  /** Length of the mix, and how long rendering it took: their ratio is the speed in multiples of real time. */
  readonly speed: { readonly mixSeconds: number; readonly renderSeconds: number; readonly timesRealTime: number };
}

const UNPROCESSED_FILE = 'unprocessed.wav';
const REPORT_FILE = 'report.json';

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
 * @throws TypeError or RangeError with the path of the fault in the plan; Error if a file cannot be read or written.
 *   Files of an earlier mix are replaced one by one, each when its successor is whole.
 */
export function mixPlanFile(planPath: string, options: MixPlanFileOptions = {}): MixFileReport {
  const plan = readPlanFile(planPath);
  const home = dirname(resolve(planPath));
  const folder = resolve(options.folder ?? home);
  const files = Object.fromEntries(Object.entries(plan.inputs).map(([name, { file }]) => [name, resolve(home, file)]));
  const inputs = openInputs(files);
  try {
    const mixed = renderProcessed(plan, inputs, resolve(folder, plan.output.file), options);
    const unprocessed = renderUnprocessed(plan, inputs, resolve(folder, UNPROCESSED_FILE), mixed.loudnessLufs, options);
    const report: MixFileReport = {
      mix: {
        file: plan.output.file,
        sha256: sha256OfFile(resolve(folder, plan.output.file)),
        ...mixed.report,
        loudnessLufs: mixed.loudnessLufs,
        clippedSamples: mixed.clippedSamples,
      },
      unprocessed: { file: UNPROCESSED_FILE, sha256: sha256OfFile(resolve(folder, UNPROCESSED_FILE)), ...unprocessed },
      plan: { file: planPath, sha256: sha256OfFile(planPath) },
      inputs: Object.fromEntries(
        Object.entries(plan.inputs).map(([name, { file }]) => [name, { file, sha256: sha256OfFile(files[name]) }]),
      ),
      speed: speedOf(mixed.report, mixed.seconds),
    };
    writeText(resolve(folder, REPORT_FILE), `${JSON.stringify(report, null, 2)}\n`);
    return report;
  } finally {
    for (const input of Object.values(inputs)) input.close();
  }
}

function openInputs(files: Readonly<Record<string, string>>): Record<string, WavInput> {
  const inputs: Record<string, WavInput> = {};
  try {
    for (const [name, path] of Object.entries(files)) inputs[name] = new WavInput(path);
    return inputs;
  } catch (error) {
    for (const input of Object.values(inputs)) input.close();
    throw error;
  }
}

interface Processed {
  readonly report: MixReport;
  readonly loudnessLufs: number | null;
  readonly clippedSamples: number;
  readonly seconds: number;
}

function renderProcessed(
  plan: MixPlan,
  inputs: Readonly<Record<string, WavInput>>,
  path: string,
  options: MixPlanFileOptions,
): Processed {
  const sampleRateHz = inputs[Object.values(plan.channels)[0].input].sampleRateHz;
  const output = new WavOutput(path, { sampleRateHz, channels: 2, ...encodings[plan.output.sampleFormat] });
  const meter = new LoudnessMeter({ sampleRateHz, channels: 2 });
  const began = performance.now();
  try {
    const report = render(plan, inputs, 'mixing', options, (channels, start, end) => {
      output.write(channels, start, end);
      meter.process(channels, start, end);
    });
    const seconds = (performance.now() - began) / 1000;
    const { clippedSamples } = output.finish();
    return { report, loudnessLufs: finite(meter.integratedLufs), clippedSamples, seconds };
  } catch (error) {
    output.discard();
    throw error;
  }
}

/** Renders the plan without its blocks twice: to learn its loudness, and to write it at that of the mix. */
function renderUnprocessed(
  plan: MixPlan,
  inputs: Readonly<Record<string, WavInput>>,
  path: string,
  loudnessLufs: number | null,
  options: MixPlanFileOptions,
): { readonly gainDb: number; readonly peakDb: number | null } {
  const bare = withoutBlocks(plan);
  const sampleRateHz = inputs[Object.values(plan.channels)[0].input].sampleRateHz;
  const meter = new LoudnessMeter({ sampleRateHz, channels: 2 });
  const { peakDb } = render(bare, inputs, 'measuring the unprocessed mix', options, (channels, start, end) => {
    meter.process(channels, start, end);
  });
  const own = finite(meter.integratedLufs);
  const gainDb = loudnessLufs === null || own === null ? 0 : loudnessLufs - own;
  const gain = dbToGain(gainDb);
  // Float, because what was not limited may stand above full scale.
  const output = new WavOutput(path, { sampleRateHz, channels: 2, encoding: 'float' });
  try {
    render(bare, inputs, 'writing the unprocessed mix', options, (channels, start, end) => {
      for (const y of channels) for (let i = start; i < end; i++) y[i] *= gain;
      output.write(channels, start, end);
    });
    output.finish();
    return { gainDb, peakDb: peakDb === null ? null : peakDb + gainDb };
  } catch (error) {
    output.discard();
    throw error;
  }
}

function render(
  plan: MixPlan,
  inputs: Readonly<Record<string, WavInput>>,
  stage: MixStage,
  { chunkFrames, onProgress }: MixPlanFileOptions,
  write: MixSink['write'],
): MixReport {
  return renderMix(
    plan,
    inputs,
    { write },
    {
      ...(chunkFrames !== undefined && { chunkFrames }),
      ...(onProgress && {
        onProgress: (done: number, total: number) => {
          onProgress(stage, done, total);
        },
      }),
    },
  );
}

/** The same faders, pans and buses without any block or send. */
function withoutBlocks(plan: MixPlan): MixPlan {
  const bare = <S extends { chain: unknown; sends: unknown }>(strips: Readonly<Record<string, S>>): Record<string, S> =>
    Object.fromEntries(Object.entries(strips).map(([name, strip]) => [name, { ...strip, chain: [], sends: [] }]));
  return {
    ...plan,
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

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}
