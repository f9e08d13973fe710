/** Results of the benchmarks, as they are kept in JSON. */

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
}
