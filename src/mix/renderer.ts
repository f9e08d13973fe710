/**
 * Renderer: runs a plan over its inputs, chunk by chunk, into a sink.
 *
 *     for each chunk:  clear the buses;  each strip in its order: read or take the sum, run the chain, add to where it goes;
 *                      hand left and right of the mix to the sink
 *
 * All paths meet in time, and what comes out stands where it stood in the inputs: the latency of the whole is cut from
 * the front, and the tails are rendered to their end. Where the alignment advances an input, the mix begins earlier than
 * the inputs by the lead that the report tells, so that nothing is lost. The size of the chunks does not show in the output.
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import { requireInteger } from '../core/check.ts';
import { alignInputs, type InputAlignment } from './align-inputs.ts';
import { type AlignmentReport, alignmentReport } from './alignment-report.ts';
import type { HitList } from '../hits/hit-list.ts';
import { type HitsReport, hitsReport } from './hits-report.ts';
import type { MixInput } from './input-reader.ts';
import { LOW_END_HZ } from './low-end.ts';
import { commonRateHz } from './input-rate.ts';
import { createMixer, type Mixer, runMixer } from './mixer.ts';
import type { MixPlan } from './plan.ts';
import { type HitResources, prepareHits } from './prepare-hits.ts';

/** Takes what is rendered. */
export interface MixSink {
  /** Takes frames `start` to `end` of left and right. The arrays are used again. */
  write(channels: readonly Float64Array[], start: number, end: number): void;
}

/** How a mix is rendered. */
export interface RenderOptions {
  /** Frames handled at a time; the output does not depend on it. 4096 unless given. */
  readonly chunkFrames?: number;
  /** How the inputs are brought in time; found by listening to them, as the plan asks for it, unless given. */
  readonly alignment?: InputAlignment;
  /** What the plan's hits need besides its inputs. */
  readonly hits?: HitResources | undefined;
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

/** When a strip sounds, and how loud it is. */
export interface StripReport {
  /** When its chain begins, in samples: its latency comes out in time with the rest. */
  readonly startSamples: number;
  /** When its chain ends, in samples. */
  readonly endSamples: number;
  /** Largest magnitude behind its chain, in dBFS; null for silence. */
  readonly peakDb: number | null;
}

/** A mix whose plan fits its inputs, ready to be rendered once. */
export interface PreparedMix {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** The hits that were found, where the plan has any. */
  readonly hits: HitList | undefined;
  /** Renders all of it. */
  render(sink: MixSink): MixReport;
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
  return prepareMix(plan, inputs, options).render(sink);
}

/** Does everything of {@link renderMix} that can be refused, and nothing that is heard. */
export function prepareMix(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  options: RenderOptions = {},
): PreparedMix {
  const { chunkFrames = 4096, onProgress } = options;
  requireInteger('renderMix: chunkFrames', chunkFrames, 1, 1 << 20);
  const sampleRateHz = commonRateHz(plan, inputs);
  const alignment = options.alignment ?? alignInputs(plan, inputs);
  const hits = prepareHits(plan, inputs, sampleRateHz, options.hits);
  const mixer = createMixer(plan, inputs, { sampleRateHz, chunkFrames, moves: alignment, hits });
  const tailCut = !Number.isFinite(mixer.tailSamples);
  const tailSamples = tailCut ? Math.round(plan.output.maxTailSeconds * sampleRateHz) : mixer.tailSamples;
  const frames = Math.max(0, ...mixer.strips.map(({ reader }) => reader?.frames ?? 0)) + tailSamples;
  const { latencySamples } = mixer;
  return {
    sampleRateHz,
    hits: hits?.list,
    render: (sink) => {
      const peak = runAll(mixer, frames, chunkFrames, sink, onProgress);
      return {
        sampleRateHz,
        frames,
        latencySamples,
        tailSamples,
        tailCut,
        peakDb: levelDb(peak),
        alignment: alignmentReport(alignment, sampleRateHz),
        nonFiniteInputs: nonFiniteInputs(mixer),
        lowEnd: {
          belowHz: LOW_END_HZ,
          relativeDb: Object.fromEntries(
            mixer.strips.flatMap(({ path, lowEnd }) => (lowEnd ? [[path, lowEnd.relativeDb]] : [])),
          ),
        },
        ...(hits && { hits: hitsReport(hits) }),
        strips: Object.fromEntries(
          mixer.strips.map(({ path, timing, strip }) => [
            path,
            { startSamples: timing.start, endSamples: timing.end, peakDb: levelDb(strip.peak) },
          ]),
        ),
      };
    },
  };
}

/** Renders `frames` frames behind the latency, and returns their largest magnitude. */
function runAll(
  mixer: Mixer,
  frames: number,
  chunkFrames: number,
  sink: MixSink,
  onProgress: RenderOptions['onProgress'],
): number {
  const { latencySamples, output } = mixer;
  const all = frames + latencySamples;
  let peak = 0;
  for (let now = 0; now < all; now += chunkFrames) {
    const count = Math.min(chunkFrames, all - now);
    runMixer(mixer, now, count);
    const start = Math.min(count, Math.max(0, latencySamples - now));
    for (const y of output) for (let i = start; i < count; i++) if (Math.abs(y[i]) > peak) peak = Math.abs(y[i]);
    if (start < count) sink.write(output, start, count);
    onProgress?.(now + count, all);
  }
  return peak;
}

/** Channels that run the same input meet the same samples. */
function nonFiniteInputs(mixer: Mixer): number {
  const byInput = new Map(mixer.strips.map(({ input, reader }) => [input, reader?.nonFinite ?? 0]));
  return [...byInput.values()].reduce((sum, count) => sum + count, 0);
}

function levelDb(peak: number): number | null {
  return peak === 0 ? null : gainToDb(peak);
}
