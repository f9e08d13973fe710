/**
 * What a mix tells of its strips: where each goes, what its chain is set to, and what its dynamics blocks did.
 * @module
 */
import { type BlockPlan, blockTypeOf } from '../blocks/block-plan.ts';
import { gainToDb } from '../core/decibels.ts';
import { resolveParameters } from '../core/parameters.ts';
import { type GainReport, GainTrace, restGainDb } from './gain-trace.ts';
import type { StripFigures } from './mix-run.ts';
import type { MixerStrip } from './mixer.ts';
import type { BusPlan } from './plan.ts';
import { TimeColumns } from './time-columns.ts';

/** A block of a strip. */
export interface BlockReport extends Omit<BlockPlan, 'options'> {
  /** Every parameter as the plan sets it or by its default; automation may have moved it since. */
  readonly values: Readonly<Record<string, number | string | boolean>>;
  /** How late the block is, in samples; the mix makes up for it. */
  readonly latencySamples: number;
  /** Of a dynamics block, where traces were asked for. */
  readonly gain?: GainReport;
}

/** A strip. */
export interface StripReport extends Omit<BusPlan, 'chain'> {
  /** Name of the input that a channel runs. */
  readonly input?: string;
  /** When its chain begins, in samples after the inputs. */
  readonly startSamples: number;
  /** When its chain ends, in samples after the inputs. */
  readonly endSamples: number;
  /** Peak behind the chain, before the fader, in dBFS; null for silence. */
  readonly peakDb: number | null;
  /** Its blocks in the order of the signal. */
  readonly chain: readonly BlockReport[];
}

/** Has the gains of all dynamics blocks that run here gathered in so many columns of a mix of `frames`. */
export function traceGains(strips: readonly MixerStrip[], sampleRateHz: number, frames: number, columns: number): void {
  for (const { strip, plan, blocks } of strips) {
    blocks.forEach((stripBlock, b) => {
      const { processor } = stripBlock.block;
      if (!processor.takesKey || frames === 0) return;
      const [{ length: chunkFrames }] = strip.buffers;
      const gathered = new TimeColumns(frames, Math.min(columns, frames));
      const late = stripBlock.time + processor.latencySamples;
      const rest = restGainDb(plan.chain[b].type, valuesOf(plan.chain[b], sampleRateHz));
      stripBlock.gains = new GainTrace(strip.buffers.length, chunkFrames, gathered, late, rest);
    });
  }
}

/** The report of a strip that has run, here or elsewhere. */
export function stripReport(
  { plan: { chain, ...plan }, input, timing, latencies }: MixerStrip,
  { peak = 0, gains = [] }: StripFigures,
  sampleRateHz: number,
): StripReport {
  return {
    ...plan,
    ...(input !== undefined && { input }),
    startSamples: timing.start,
    endSamples: timing.end,
    peakDb: peak === 0 ? null : gainToDb(peak),
    chain: chain.map((block, b): BlockReport => {
      const { options: _, ...rest } = block;
      const gain = gains.at(b);
      return {
        ...rest,
        values: valuesOf(block, sampleRateHz),
        latencySamples: latencies[b],
        ...(gain && { gain }),
      };
    }),
  };
}

function valuesOf(block: BlockPlan, sampleRateHz: number): BlockReport['values'] {
  return resolveParameters('', blockTypeOf(block).parameters, block.options as object, sampleRateHz);
}
