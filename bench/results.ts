/** Results of the benchmarks, as they are kept in JSON. */
import { existsSync, readFileSync } from 'node:fs';

/** What something costs. */
export interface Cost {
  /** Processor time per sample and channel: the median of the rounds. */
  readonly nanoseconds: number;
  /** Interquartile range of the rounds. */
  readonly spreadPercent: number;
  /** In units of the yardstick of the same round: the median of the ratios. */
  readonly yardsticks: number;
}

export interface BlockResult {
  readonly name: string;
  /** Missing for a block that takes two channels only. */
  readonly mono?: Cost;
  readonly stereo: Cost;
  /** Stereo with work done in WebAssembly, for blocks that can. */
  readonly simd?: Cost;
  /** The same of one channel. */
  readonly monoSimd?: Cost;
  /** Allocated by a call for 128 samples. */
  readonly bytesPerBlock: number;
  /** The costliest stretch of silence after sound, relative to sound. */
  readonly silence: number;
  /** The same while numbers of 1e-310 come in. */
  readonly tiny: number;
}

export interface ToolResult extends Cost {
  readonly name: string;
}

export interface Results {
  readonly processor: string;
  readonly node: string;
  readonly yardstickNanoseconds: number;
  readonly blocks: readonly BlockResult[];
  readonly tools: readonly ToolResult[];
  /** Where the session's time goes, and how evenly. */
  readonly profile: readonly ProfileEntry[];
  readonly blockTimes: BlockTimes;
}

/** Time of everything of one kind, in ns per frame of the session. */
export interface ProfileEntry {
  readonly what: string;
  readonly nanoseconds: number;
}

/** Times of single blocks, in us, and how many garbage collections there were. */
export interface BlockTimes {
  readonly blocks: number;
  readonly median: number;
  readonly percentile999: number;
  readonly longest: number;
  readonly collections: number;
}

/** One run of a work, by the contestants' names: its time, and the library's time over it. */
export type RivalRun = Readonly<Record<string, { readonly nanoseconds: number; readonly ratio: number }>>;

export interface WorkResult {
  readonly name: string;
  readonly runs: readonly RivalRun[];
}

export interface RivalResults {
  /** Programs that are not on the machine. */
  readonly missing: readonly string[];
  readonly works: readonly WorkResult[];
}

/** A session of so many tracks and seconds. */
export interface ScalingResult {
  readonly tracks: number;
  readonly seconds: number;
  /** Processor time per frame, measured and estimated. */
  readonly nanoseconds: number;
  readonly estimated: number;
  /** Largest memory of the process. */
  readonly peakMegabytes: number;
}

/** Reads what an earlier benchmark wrote; undefined if there is nothing. */
export function readResults(): Results | undefined {
  return read<Results>(RESULTS_FILE);
}

export function readRivals(): RivalResults | undefined {
  return read<RivalResults>(RIVALS_FILE);
}

export function readScaling(): readonly ScalingResult[] | undefined {
  return read<readonly ScalingResult[]>(SCALING_FILE);
}

export const RESULTS_FILE = 'bench/results.json';
export const RIVALS_FILE = 'bench/rivals.json';
export const SCALING_FILE = 'bench/scaling.json';

function read<T>(file: string): T | undefined {
  return existsSync(file) ? (JSON.parse(readFileSync(file, 'utf8')) as T) : undefined;
}
