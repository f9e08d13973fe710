/**
 * Renderer: runs a plan over its inputs, chunk by chunk, into a sink.
 *
 *     pass 1: alignment, hits --> mixer --> pass 2: chunk after chunk --> sink, report
 *
 * All paths meet in time, and what comes out stands where it stood in the inputs: the latency of the whole is cut from
 * the front, and the tails are rendered to their end. Where the alignment advances an input, the mix begins earlier than
 * the inputs by the lead that the report tells, so that nothing is lost.
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import { requireInteger } from '../core/check.ts';
import { alignInputs, type InputAlignment } from './align-inputs.ts';
import { type AlignmentReport, alignmentReport } from './alignment-report.ts';
import { type HitsReport, hitsReport } from './hits-report.ts';
import type { MixInput } from './input-reader.ts';
import { LOW_END_HZ } from './low-end.ts';
import { simdKernels } from '../simd/simd-kernels.ts';
import { commonRateHz } from './input-rate.ts';
import { MixRun, type MixSink, type StripFigures } from './mix-run.ts';
import type { MixShare } from './mix-share.ts';
import { createMixer, type Mixer } from './mixer.ts';
import type { MixPlan } from './plan.ts';
import { findAndTreatHits, type FoundHits, type HitResources, prepareHits } from './prepare-hits.ts';
import { type StripReport, stripReport, traceGains } from './strip-report.ts';

/** How a mix is rendered. */
export interface RenderOptions {
  /** Frames handled at a time; the output does not depend on it. 4096 unless given. */
  readonly chunkFrames?: number;
  /** Whether WebAssembly does some blocks' work where it can; the output does not depend on it. True unless given. */
  readonly simd?: boolean;
  /** How the inputs are brought in time; found by listening to them, as the plan asks for it, unless given. */
  readonly alignment?: InputAlignment;
  /** What the plan's hits need besides its inputs. */
  readonly hits?: HitResources | undefined;
  /** In how many columns over the length of the mix the gains of its dynamics blocks are told; not told unless given. */
  readonly gainColumns?: number | undefined;
  /** Called after each chunk with the frames done and the frames in all. */
  readonly onProgress?: (done: number, total: number) => void;
}

/** What a renderer tells about a mix. */
export interface MixReport {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Frames written: the lead of the alignment, the longest input and the tail. */
  readonly frames: number;
  /** Latency of the longest way through the mix, which the output does not have. */
  readonly latencySamples: number;
  /** Samples rendered after the end of the inputs. */
  readonly tailSamples: number;
  /** Whether a tail without end was cut at `output.maxTailSeconds`. */
  readonly tailCut: boolean;
  /** Largest magnitude of the mix, in dBFS; null for silence. */
  readonly peakDb: number | null;
  /** What the alignment found and did. */
  readonly alignment: AlignmentReport;
  /** Input samples that were not finite or above 1e6 and counted as 0: of each input, however many channels run it. */
  readonly nonFiniteInputs: number;
  /** What each bus with a reverberation adds to the low end of the dry kit. */
  readonly lowEnd: {
    /** Upper edge of the low end in hertz. */
    readonly belowHz: number;
    /** Its level there, in decibels, relative to all else that its destination hears; null where either is silent. */
    readonly relativeDb: Readonly<Record<string, number | null>>;
  };
  /** What was found, and what followed; only where the plan has hits. */
  readonly hits?: HitsReport;
  /** The strips by their path. */
  readonly strips: Readonly<Record<string, StripReport>>;
}

/** What only some of those who prepare a mix know. */
interface PrepareOptions extends RenderOptions {
  /** The hits and what follows from them, in place of a search: another thread's. */
  readonly found?: FoundHits | undefined;
  /** What of the mix runs here; all of it unless given. */
  readonly share?: MixShare | undefined;
}

/** A mix whose plan fits its inputs, ready to be rendered once. */
export interface PreparedMix {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Frames that will be written. */
  readonly frames: number;
  /** The hits that were found, where the plan has any. */
  readonly hits: FoundHits | undefined;
  /** Begins to render: chunk after chunk, as the caller says. */
  start(sink: MixSink): MixRun;
  /** Tells of a run that is done, with what other threads know of their strips. */
  report(run: MixRun, elsewhere?: readonly Readonly<Record<string, StripFigures>>[]): MixReport;
}

/**
 * Renders a plan.
 *
 * @param inputs - a source for every input of the plan, by its name; all at one sample rate
 * @throws RangeError or TypeError, with a path, if the inputs do not fit the plan
 */
export function renderMix(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  sink: MixSink,
  options: RenderOptions = {},
): MixReport {
  const mix = prepareMix(plan, inputs, options);
  const run = mix.start(sink);
  for (let chunk = 0; chunk < run.chunks; chunk++) {
    run.step();
    options.onProgress?.(run.done, run.frames);
  }
  return mix.report(run);
}

/** Does everything of {@link renderMix} that can be refused, and nothing that is heard. */
export function prepareMix(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  options: PrepareOptions = {},
): PreparedMix {
  const chunkFrames = requireChunkFrames(options.chunkFrames),
    { share, gainColumns, simd = true } = options;
  if (gainColumns !== undefined) requireInteger('renderMix: gainColumns', gainColumns, 1, 10_000);
  const sampleRateHz = commonRateHz(plan, inputs);
  const alignment = options.alignment ?? alignInputs(plan, inputs);
  const hits = options.found ?? findAndTreatHits(plan, inputs, sampleRateHz, options.hits);
  const prepared = prepareHits(plan, inputs, sampleRateHz, hits);
  const mixer = createMixer(plan, inputs, {
    sampleRateHz,
    chunkFrames,
    simd: simd ? simdKernels() : undefined,
    moves: alignment,
    hits: prepared,
    share,
  });
  const tailCut = !Number.isFinite(mixer.tailSamples);
  const tailSamples = tailCut ? Math.round(plan.output.maxTailSeconds * sampleRateHz) : mixer.tailSamples;
  const frames = Math.max(0, ...mixer.strips.map(({ reader }) => reader?.frames ?? 0)) + tailSamples;
  if (gainColumns !== undefined) traceGains(mixer.strips, sampleRateHz, frames, gainColumns);
  return {
    sampleRateHz,
    frames,
    hits,
    start: (sink) => new MixRun(mixer, frames, chunkFrames, sink),
    report: (run, elsewhere = []) => ({
      sampleRateHz,
      frames,
      latencySamples: mixer.latencySamples,
      tailSamples,
      tailCut,
      peakDb: levelDb(run.peak),
      alignment: alignmentReport(alignment, sampleRateHz),
      ...(hits && { hits: hitsReport(hits) }),
      ...stripsReport(mixer, sampleRateHz, [run.figures, ...elsewhere]),
    }),
  };
}

/** What is told of the strips, whichever thread knows it. */
function stripsReport(
  { strips }: Mixer,
  sampleRateHz: number,
  figures: readonly Readonly<Record<string, StripFigures>>[],
): Pick<MixReport, 'nonFiniteInputs' | 'lowEnd' | 'strips'> {
  const known = strips.map((strip) => ({
    ...strip,
    ...figures.reduce<StripFigures>((all, some) => ({ ...all, ...some[strip.path] }), {}),
  }));
  // Channels that run the same input meet the same samples.
  const nonFinite = new Map(known.map(({ input, nonFinite: count = 0 }) => [input, count]));
  return {
    nonFiniteInputs: [...nonFinite.values()].reduce((sum, count) => sum + count, 0),
    lowEnd: {
      belowHz: LOW_END_HZ,
      relativeDb: Object.fromEntries(
        known.flatMap(({ path, lowEndDb }) => (lowEndDb === undefined ? [] : [[path, lowEndDb]])),
      ),
    },
    strips: Object.fromEntries(known.map((strip) => [strip.path, stripReport(strip, strip, sampleRateHz)])),
  };
}

/** Frames handled at a time: 4096 unless given. @throws RangeError unless it is 1 to 2^20 */
export function requireChunkFrames(given = 4096): number {
  return requireInteger('renderMix: chunkFrames', given, 1, 1 << 20);
}

function levelDb(peak: number): number | null {
  return peak === 0 ? null : gainToDb(peak);
}
