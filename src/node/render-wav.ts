/**
 * Renders a plan into a WAV file that is still to be published, and measures it on the way.
 * @module
 */
import { LoudnessMeter } from '../meters/loudness.ts';
import type { InputAlignment } from '../mix/align-inputs.ts';
import type { FoundHits } from '../mix/prepare-hits.ts';
import type { MixPlan } from '../mix/plan.ts';
import type { MixReport } from '../mix/renderer.ts';
import { MixMeter } from '../report/mix-meter.ts';
import type { SoundReport } from '../report/mix-file-report.ts';
import type { WavWriterOptions } from '../wav/writer-options.ts';
import { sha256OfFile, type StagedFiles } from './files.ts';
import { readHitFiles } from './hit-files.ts';
import type { InputLevelsByName } from './metered-inputs.ts';
import type { MixThreads, PreparedFileMix } from './mix-threads.ts';
import { type WavInput, WavOutput } from './wav-files.ts';

/** A plan as it is to be rendered. */
export interface RenderJob {
  readonly planPath: string;
  readonly plan: MixPlan;
  readonly alignment: InputAlignment;
  readonly inputs: Readonly<Record<string, WavInput>>;
  readonly threads: MixThreads;
  /** Whether the gains of the dynamics blocks are told. */
  readonly traced: boolean;
  readonly chunkFrames: number | undefined;
  readonly simd: boolean | undefined;
  readonly onProgress: (done: number, total: number) => void;
}

/** What became of it. */
export interface RenderedWav extends SoundReport {
  readonly report: MixReport;
  /** The hits that were found, where the plan has any. */
  readonly hits: FoundHits | undefined;
  /** The inputs as they were read. */
  readonly levels: InputLevelsByName;
  readonly renderSeconds: number;
  readonly sha256: string;
  readonly clippedSamples: number;
  /** Where the file is until it is published. */
  readonly stagedPath: string;
}

function prepare({ planPath, threads, ...mix }: RenderJob): PreparedFileMix {
  const [{ sampleRateHz }] = Object.values(mix.inputs);
  return threads.prepare({ ...mix, hits: readHitFiles(planPath, mix.plan, sampleRateHz) });
}

/** Renders a plan to learn its loudness in LUFS; null for silence. */
export async function renderedLoudness(job: RenderJob): Promise<number | null> {
  const mix = prepare(job);
  const meter = new LoudnessMeter({ sampleRateHz: mix.sampleRateHz, channels: 2 });
  await mix.render({
    write: (channels, start, end) => {
      meter.process(channels, start, end);
    },
  });
  return finite(meter.integratedLufs);
}

/** Renders a plan, turned up by `gain`, into the file at `path`, which is staged among `files`. */
export async function renderWav(
  job: RenderJob,
  files: StagedFiles,
  path: string,
  encoding: Pick<WavWriterOptions, 'encoding' | 'bitsPerSample'>,
  gain = 1,
): Promise<RenderedWav> {
  const mix = prepare(job); // refuses what is to be refused before there is a file
  const { sampleRateHz, frames, hits } = mix;
  const stagedPath = files.add(path);
  const output = new WavOutput(stagedPath, { sampleRateHz, channels: 2, ...encoding });
  const meter = new MixMeter({ sampleRateHz, channels: 2 }, frames);
  try {
    const began = performance.now();
    const { report, levels } = await mix.render({
      write: (channels, start, end) => {
        if (gain !== 1) for (const y of channels) for (let i = start; i < end; i++) y[i] *= gain;
        meter.process(channels, start, end);
        output.write(channels, start, end);
      },
    });
    const renderSeconds = (performance.now() - began) / 1000;
    const { clippedSamples } = output.finish();
    const { figures, loudness } = meter;
    const loudnessLufs = finite(figures.integratedLufs);
    const sha256 = sha256OfFile(stagedPath);
    return { report, hits, levels, figures, loudness, loudnessLufs, renderSeconds, sha256, clippedSamples, stagedPath };
  } catch (error) {
    output.discard();
    throw error;
  }
}

function finite(lufs: number): number | null {
  return Number.isFinite(lufs) ? lufs : null;
}
