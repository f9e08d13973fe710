/**
 * The contract every processor keeps.
 *
 * A processor turns blocks of samples into blocks of samples. Whatever the caller's block lengths, the same
 * samples come out, bit for bit; nothing is allocated while processing; and its latency and tail are stated.
 *
 * @module
 */

import type { Part } from './part.ts';
import type { SimdKernels } from './simd-kernels.ts';

export type { Part };

/** What a stream of blocks looks like; fixed for the life of a processor. */
export interface StreamFormat {
  /** Samples per second and channel, 8000 to 384000. */
  readonly sampleRateHz: number;
  /** Number of channels, 1 to 64. */
  readonly channels: number;
  /** What does some blocks' work in WebAssembly, with the same bits; plain loops do unless it is given. */
  readonly simd?: SimdKernels | undefined;
}

/** One block: an array per channel, all of one length. */
export type Channels = readonly Float32Array[] | readonly Float64Array[];

/**
 * Where a dynamics block writes its inner signals, one value per output sample: row c belongs to channel c. With
 * channels linked at 100 % all rows are alike, so one row is enough. Silence is -200 dB.
 */
export interface Trace {
  /** Level that the detector saw, in dBFS, delayed to the sample it belongs to. */
  readonly levelDb?: Channels | undefined;
  /** Gain that was applied to the processed share of the output, in dB; a dry share, or a bypass, does not show. */
  readonly gainDb?: Channels | undefined;
}

/** What may go along with a block. The object belongs to the caller, who may use it again. */
export interface Side {
  /** Another signal for a dynamics block to listen to, at the same time position; any number of channels. */
  key?: Channels | undefined;
  /** Inner signals of a dynamics block. */
  trace?: Trace | undefined;
  /** First sample to process; 0 unless given. Indices of `key` and `trace` count from the same origin. */
  start?: number | undefined;
  /** End of the part to process, exclusive; the arrays' length unless given. */
  end?: number | undefined;
  /** Set by hosts that have guarded their input already: samples pass unchecked between the blocks of a chain. */
  trusted?: boolean | undefined;
}

/** Options on their way to a processor of a chain. */
export interface WaitingSet {
  /** Place of that processor in the chain, from 0. */
  readonly index: number;
  /** Samples until they arrive, 0 or more. */
  readonly inSamples: number;
  /** What will be set. */
  readonly options: object;
}

/** Turns blocks of samples into blocks of samples. */
export interface Processor extends Part {
  /** Sample rate and channel count, as given to the constructor. */
  readonly format: StreamFormat;
  /** Delay from input to output in whole samples; constant after construction. */
  readonly latencySamples: number;
  /** How long, after the latency, the response stays above -120 dB of its peak: a bound in samples, maybe Infinity. */
  readonly tailSamples: number;
  /** Whether the processor listens to a key. */
  readonly takesKey: boolean;
  /** Input and key samples, since `reset`, that were not finite or above 1e6 in magnitude and counted as 0. */
  readonly nonFiniteInputs: number;
  /** Processes one block of any length. `output` may be `input`. Never allocates; what it writes is finite. */
  process(input: Channels, output: Channels, side?: Side): void;
  /** Throws what `set` would throw for these options; changes nothing. */
  check(options: object): void;
  /** Changes some parameters, keeps the rest and the state. They glide from here; a refused set changes nothing. */
  set(options: object): void;
  /** Equal to a new object with the current parameters, bit for bit. */
  reset(): void;
  /** Parameters as last set, by name. */
  readonly values: object;
  /** What the processor is made of; some may be processors. */
  readonly parts: readonly Part[];
  /** Options on their way to the processors of a chain: to which, in how many samples, and what. */
  pending?: readonly WaitingSet[];
}
