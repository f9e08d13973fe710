/**
 * Chain runner: what a chain's processor does in the audio thread, quantum after quantum.
 *
 *     frame ----------+--------+------- quantum -------+
 *                     run      ^ set, at exactly its frame
 *
 * It knows nothing of Web Audio, so that it runs in a test as it runs in a page.
 *
 * @module
 */
import type { Chain } from '../core/chain.ts';
import { requireInteger } from '../core/check.ts';
import { requireList, requireObject } from '../core/json-check.ts';
import { requireFormat } from '../core/pieces.ts';
import type { Side, StreamFormat } from '../core/processor.ts';
import { simdKernels } from '../simd/simd-kernels.ts';
import { createBlockChain } from './block-chain.ts';
import type { ChainSettings, TimedOptions } from './messages.ts';
import { CHAIN_HEAD, clearMeters, meterLength } from './meter-layout.ts';

/** One quantum of a port: its channels, or none of them when nothing is connected. */
type Quantum = readonly Float32Array[];

/** Most channels of a key: a buffer is held for each. */
const MOST_KEY_CHANNELS = 64;

/** Runs a chain and the settings that are due at frames. */
export class ChainRunner {
  readonly chain: Chain;
  /** Meter values so far, as `meter-layout.ts` says. */
  readonly meters: Float64Array;
  readonly #metered: boolean;
  readonly #input: Float32Array[];
  readonly #key: Float32Array[];
  readonly #side: Side = {};
  #silence = new Float32Array(0);
  #queue: TimedOptions[] = [];

  /** @throws TypeError or RangeError with the path of the first fault of the chain */
  constructor({ chain, channels, keyChannels, automation, meters }: ChainSettings, sampleRateHz: number) {
    const format: StreamFormat = { ...requireFormat('chain', { sampleRateHz, channels }), simd: simdKernels() };
    requireInteger('keyChannels', keyChannels, 0, MOST_KEY_CHANNELS);
    this.meters = new Float64Array(meterLength(requireList('chain', chain).length));
    clearMeters(this.meters, CHAIN_HEAD);
    this.#metered = meters !== undefined;
    this.chain = createBlockChain(chain, format, keyChannels, this.#metered ? this.meters : undefined).chain;
    this.#input = new Array<Float32Array>(channels).fill(this.#silence);
    this.#key = new Array<Float32Array>(keyChannels).fill(this.#silence);
    requireList('automation', automation).forEach((timed, a) => {
      const { block, options, frame } = requireObject(`automation[${a}]`, timed) as unknown as TimedOptions;
      this.setAt(block, options, frame);
    });
  }

  /**
   * Sets options of a block for the samples that stand at the chain's input at `frame`; for the next ones if it has
   * passed.
   *
   * @throws TypeError or RangeError; nothing is set then
   */
  setAt(block: number, options: TimedOptions['options'], frame: number): void {
    requireInteger('frame', frame, -Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER);
    requireInteger('block', block, 0, Number.MAX_SAFE_INTEGER);
    requireObject('options', options);
    this.chain.check({ [block]: options });
    this.#queue.push({ frame, block, options });
    this.#queue.sort((a, b) => a.frame - b.frame); // stable: of two at one frame the later call comes later
  }

  /** Processes one quantum that begins at `frame`. */
  run(input: Quantum, output: Quantum, key: Quantum, frame: number): void {
    const frames = output[0].length;
    if (this.#silence.length !== frames) this.#silence = new Float32Array(frames);
    connect(input, this.#input, this.#silence);
    connect(key, this.#key, this.#silence);
    const side = this.#side,
      queue = this.#queue;
    side.key = this.chain.takesKey ? this.#key : undefined;
    for (let start = 0; start < frames;) {
      while (queue.length > 0 && queue[0].frame <= frame + start) {
        this.chain.set({ [queue[0].block]: queue[0].options });
        queue.shift();
      }
      const end = queue.length > 0 ? Math.min(frames, Math.max(start + 1, queue[0].frame - frame)) : frames;
      side.start = start;
      side.end = end;
      this.chain.process(this.#input, output, side);
      start = end;
    }
    if (this.#metered) {
      this.meters[0] = frame + frames;
      raisePeak(this.meters, 1, input, frames);
      raisePeak(this.meters, 2, output, frames);
    }
  }
}

function connect(from: Quantum, to: Float32Array[], silence: Float32Array): void {
  for (let c = 0; c < to.length; c++) to[c] = c < from.length ? from[c] : silence;
}

function raisePeak(values: Float64Array, at: number, x: Quantum, frames: number): void {
  for (let c = 0; c < x.length; c++) {
    for (let i = 0; i < frames; i++) if (Math.abs(x[c][i]) > values[at]) values[at] = Math.abs(x[c][i]);
  }
}
